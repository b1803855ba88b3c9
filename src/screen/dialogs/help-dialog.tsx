import { Box } from 'ink';
import type { ReactNode } from 'react';
import { Label } from '../ink-frame/label.tsx';
import { type HelpLine, helpLines } from '../keys/help-lines.ts';
import type { KeyMode } from '../keys/key-mode.ts';
import type { Theme } from '../theme/theme.ts';
import { helpFit } from './help-fit.ts';

const KEY_WIDTH = 8;
/** Figures go by longer names than keys. */
const FIGURE_WIDTH = 12;

export interface HelpDialogProps {
  readonly width: number;
  readonly height: number;
  /** First line shown, when not all fit. */
  readonly row: number;
  readonly mode: KeyMode;
  readonly theme: Theme;
}

/** Every key that has a meaning in the mode, in as many columns as the width allows; scrolls when the rest does not fit. */
export function HelpDialog({ width, height, row, mode, theme }: HelpDialogProps): ReactNode {
  const lines = helpLines(theme.glyphs, mode);
  const { columns, columnWidth, rows, lastRow } = helpFit(lines, width, height);
  const first = Math.min(row, lastRow);
  const shown = Array.from({ length: columns }, (_, column) =>
    lines.slice(first + column * rows, first + (column + 1) * rows),
  );
  return (
    <Box>
      {shown.map((part, column) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: columns have no identity but their place
        <Box key={column} flexDirection="column" width={columnWidth}>
          {part.map((line, at) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: lines have no identity but their place
            <HelpRow key={at} line={line} width={columnWidth} theme={theme} />
          ))}
        </Box>
      ))}
    </Box>
  );
}

function HelpRow({ line, width, theme }: { line: HelpLine; width: number; theme: Theme }): ReactNode {
  if (line.isHeading) return <Label style={theme.styles.name}>{line.text}</Label>;
  return (
    <Box width={width}>
      <Box width={line.isFigure ? FIGURE_WIDTH : KEY_WIDTH} flexShrink={0}>
        <Label style={theme.styles.selected}>{line.key}</Label>
      </Box>
      <Label style={theme.styles.text}>{line.text}</Label>
    </Box>
  );
}
