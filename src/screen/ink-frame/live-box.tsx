import { Box, type BoxProps, type DOMElement } from 'ink';
import { type ReactNode, useLayoutEffect, useRef } from 'react';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import type { Place } from './places.ts';
import { useScreen } from './screen-context.ts';

export interface LiveBoxProps extends Omit<BoxProps, 'children'> {
  /** Called at the frame rate with the cells open in `area` only; the area is blank, Ink's cells around it. */
  readonly paint: (grid: CellGrid, area: Area) => void;
}

/**
 * A box whose inside changes with the music: Ink lays it out and leaves it empty, `paint` fills it at each
 * frame without React or Ink. Live text never goes through Ink, which keeps every distinct text for ever.
 */
export function LiveBox({ paint, ...box }: LiveBoxProps): ReactNode {
  const { places } = useScreen();
  const node = useRef<DOMElement>(null);
  const place = useRef<Place & { kind: 'live' }>({ kind: 'live', paint });
  useLayoutEffect(() => {
    place.current.paint = paint;
  });
  useLayoutEffect(() => places.add(node.current!, place.current), [places]);
  return <Box flexShrink={0} {...box} ref={node} />;
}
