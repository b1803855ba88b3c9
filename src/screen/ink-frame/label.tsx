import { Text, type TextProps } from 'ink';
import type { ReactNode } from 'react';
import { PLAIN } from '../cells/cell-grid.ts';
import { sgrFor } from './sgr.ts';

export interface LabelProps {
  /** A style number, see `CellGrid`. */
  readonly style?: number;
  readonly wrap?: TextProps['wrap'];
  readonly children: string;
}

/** Text in a style of the cell grid. Text from a song must have gone through `cleanText`. */
export function Label({ style = PLAIN, wrap = 'truncate', children }: LabelProps): ReactNode {
  return (
    <Text wrap={wrap}>{style === PLAIN ? children : `${sgrFor(style)}${children}${sgrFor(PLAIN)}`}</Text>
  );
}
