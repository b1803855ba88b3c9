import { Box, type BoxProps, type DOMElement, Text } from 'ink';
import { type ReactNode, useLayoutEffect, useRef } from 'react';
import type { Place } from './places.ts';
import { useScreen } from './screen-context.ts';

export interface CoverBoxProps extends BoxProps {
  readonly children?: ReactNode;
  /** Size and place in cells, from the parent's top left corner. */
  readonly width: number;
  readonly height: number;
  readonly left?: number;
  readonly top?: number;
}

const COVER: Place = { kind: 'cover' };

/**
 * A box that lies on top (a dialog, a help overlay): blank inside, and live boxes drawn before it do not show
 * through. Live boxes inside it are painted on it.
 */
export function CoverBox({ width, height, left = 0, top = 0, children, ...box }: CoverBoxProps): ReactNode {
  const { places } = useScreen();
  const node = useRef<DOMElement>(null);
  useLayoutEffect(() => places.add(node.current!, COVER), [places]);
  // Ink fills a box only with a colour; the blank text also covers labels in the terminal's own background.
  return (
    <Box position="absolute" marginLeft={left} marginTop={top} width={width} height={height} ref={node}>
      <Box position="absolute" width={width} height={height} overflow="hidden">
        <Text wrap="truncate">{`${' '.repeat(width)}\n`.repeat(height).slice(0, -1)}</Text>
      </Box>
      <Box {...box} width={width} height={height}>
        {children}
      </Box>
    </Box>
  );
}
