import { Box } from 'ink';
import type { ReactNode } from 'react';
import type { Area } from '../cells/area.ts';
import { headText } from '../format/head-text.ts';
import { CoverBox } from '../ink-frame/cover-box.tsx';
import { Label } from '../ink-frame/label.tsx';
import type { Theme } from '../theme/theme.ts';

export interface DialogFrameProps {
  readonly area: Area;
  readonly title: string;
  /** Keys that work here, in words. */
  readonly hint: string;
  readonly theme: Theme;
  readonly children: ReactNode;
}

/** A dialog is a sheet laid over the lanes: a rule with its title above, a rule with its keys below. */
export function DialogFrame({ area, title, hint, theme, children }: DialogFrameProps): ReactNode {
  return (
    <CoverBox left={area.x} top={area.y} width={area.width} height={area.height} flexDirection="column">
      <Rule width={area.width} text={title} theme={theme} />
      <Box height={area.height - 2} width={area.width}>
        {children}
      </Box>
      <Rule width={area.width} text={hint} theme={theme} />
    </CoverBox>
  );
}

function Rule({ width, text, theme }: { width: number; text: string; theme: Theme }): ReactNode {
  const { rule } = theme.glyphs;
  const words = ` ${headText(text, Math.max(0, width - 4), theme.glyphs.ellipsis)} `;
  return (
    <Box height={1} width={width}>
      <Label style={theme.styles.faint}>{rule.repeat(2)}</Label>
      <Label style={theme.styles.name}>{words}</Label>
      <Label style={theme.styles.faint}>{rule.repeat(Math.max(0, width - 2 - words.length))}</Label>
    </Box>
  );
}
