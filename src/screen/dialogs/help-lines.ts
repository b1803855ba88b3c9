import { KEY_GROUPS, KEY_TABLE } from '../keys/key-table.ts';
import type { GlyphSet } from '../theme/glyphs.ts';
import { SIGN_TABLE } from '../theme/sign-table.ts';

export interface HelpLine {
  readonly key: string;
  readonly text: string;
  readonly isHeading: boolean;
}

/** The key table as lines for the help overlay, group after group, then the signs on the screen. */
export function helpLines(glyphs: GlyphSet): HelpLine[] {
  const lines: HelpLine[] = [];
  for (const group of KEY_GROUPS) {
    lines.push({ key: '', text: group, isHeading: true });
    for (const row of KEY_TABLE) {
      if (row.group === group)
        lines.push({ key: shownKey(row.keys[0]!, glyphs), text: row.help, isHeading: false });
    }
  }
  lines.push({ key: '', text: 'Signs', isHeading: true });
  for (const [sign, meaning] of SIGN_TABLE)
    lines.push({ key: sign(glyphs), text: meaning, isHeading: false });
  return lines;
}

export function shownKey(key: string, glyphs: GlyphSet): string {
  const arrows: Readonly<Record<string, string>> = {
    left: glyphs.left,
    right: glyphs.right,
    up: glyphs.up,
    down: glyphs.down,
    'page-up': 'pg up',
    'page-down': 'pg dn',
    escape: 'esc',
    backspace: 'bksp',
  };
  return arrows[key] ?? key;
}
