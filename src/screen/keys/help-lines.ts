import { FIGURE_TABLE } from '../theme/figure-table.ts';
import type { GlyphSet } from '../theme/glyphs.ts';
import { SIGN_TABLE } from '../theme/sign-table.ts';
import { type KeyMode, worksIn } from './key-mode.ts';
import { KEY_GROUPS, KEY_TABLE, type KeyRow } from './key-table.ts';

export interface HelpLine {
  readonly key: string;
  readonly text: string;
  readonly isHeading: boolean;
  /** A figure of the rows below the lanes, whose name is longer than a key's. */
  readonly isFigure?: true;
}

/**
 * The key table as lines for the help overlay, group after group, then the signs and figures on the screen: what has a
 * meaning in the mode, and a group only where something of it has.
 */
export function helpLines(glyphs: GlyphSet, mode: KeyMode): HelpLine[] {
  const lines: HelpLine[] = [];
  for (const group of KEY_GROUPS) {
    const rows = KEY_TABLE.filter((row) => row.group === group && worksIn(row, mode));
    if (rows.length > 0) lines.push({ key: '', text: group, isHeading: true });
    for (const row of rows) {
      lines.push({ key: shownKey(row.keys[0]!, glyphs), text: helpIn(mode, row), isHeading: false });
    }
  }
  lines.push({ key: '', text: 'Signs', isHeading: true });
  for (const { sign, meaning, needs } of SIGN_TABLE) {
    if (needs && !mode[needs]) continue;
    lines.push({ key: sign(glyphs), text: meaning, isHeading: false });
  }
  lines.push({ key: '', text: 'Figures', isHeading: true });
  for (const { figure, meaning, needs } of FIGURE_TABLE) {
    const isThere = needs === 'thru' ? !mode.song && mode.output : needs === undefined || mode[needs];
    if (isThere) lines.push({ key: figure, text: meaning, isHeading: false, isFigure: true });
  }
  return lines;
}

/** What the key does there. */
function helpIn(mode: KeyMode, { help, helpUnheard, helpWatched }: KeyRow): string {
  if (mode.watched) return helpWatched ?? help;
  return mode.output ? help : (helpUnheard ?? help);
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
