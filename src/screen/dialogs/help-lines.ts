import { KEY_GROUPS, KEY_TABLE, type KeyRow } from '../keys/key-table.ts';
import type { GlyphSet } from '../theme/glyphs.ts';

export interface HelpLine {
  readonly key: string;
  readonly text: string;
  /** A group's name; blank lines between groups are headings without text. */
  readonly isHeading: boolean;
}

/** The key table as lines for the help overlay, group after group. */
export function helpLines(glyphs: GlyphSet): HelpLine[] {
  const lines: HelpLine[] = [];
  for (const group of KEY_GROUPS) {
    if (lines.length > 0) lines.push({ key: '', text: '', isHeading: true });
    lines.push({ key: '', text: group, isHeading: true });
    for (const row of KEY_TABLE) {
      if (row.group === group)
        lines.push({ key: shownKey(row.keys[0]!, glyphs), text: rowText(row), isHeading: false });
    }
  }
  return lines;
}

/** `a bar back · 5: bars` becomes `a bar back (number: bars)`. */
export function rowText(row: KeyRow): string {
  return row.number === undefined ? row.help : `${row.help} (N ${row.number})`;
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
