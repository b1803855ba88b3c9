import { type Align, columnsText } from './columns-text.ts';
import { clock, cut, millis } from './figure-text.ts';
import type { SongCheck } from './song-check.ts';

/** One line of the table: a song that was checked, or one that could not be read. */
export type CheckLine =
  | { readonly kind: 'checked'; readonly check: SongCheck }
  | { readonly kind: 'unreadable'; readonly file: string; readonly reason: string };

const HEADINGS = ['verdict', 'song', 'length', 'notes', 'keys', 'file order', 'packed', 'least', 'problems'];
const ALIGNS: readonly Align[] = [
  'left',
  'left',
  'right',
  'right',
  'right',
  'right',
  'right',
  'right',
  'left',
];

export interface TableOptions {
  readonly ascii: boolean;
  readonly clean: (text: string) => string;
}

/** Songs as lines under headings, the most troubled first. */
export function renderTable(lines: readonly CheckLine[], { ascii, clean }: TableOptions): string[] {
  const sorted = [...lines].sort((a, b) => troubleOf(b) - troubleOf(a) || (nameOf(a) < nameOf(b) ? -1 : 1));
  const rows = sorted.map((line) => {
    const name = cutLeft(clean(nameOf(line)), 36, ascii);
    if (line.kind === 'unreadable')
      return ['unreadable', name, '', '', '', '', '', '', cut(clean(line.reason), 40, ascii)];
    const { song, notes, polyphony, wire } = line.check;
    return [
      VERDICTS[line.check.verdict],
      name,
      clock(song.durationSeconds),
      String(notes.count),
      String(polyphony.most),
      millis(wire.fileOrder.worstOnsetLatenessMicros),
      millis(wire.packed.worstOnsetLatenessMicros),
      millis(wire.boundMicros),
      codesOf(line.check).join(' '),
    ];
  });
  return columnsText(HEADINGS, ALIGNS, rows);
}

/** What is the trouble, a word each: of what was found in the file which finding it is. */
function codesOf({ problems, findings }: SongCheck): string[] {
  const found = findings.flatMap(({ code, severity }) => (severity === 'problem' ? [code] : []));
  return [...new Set(problems.flatMap(({ code }) => (code === 'finding' ? found : [code])))];
}

/** The largest trouble first: unreadable, does not fit, fits with changes, problems, then by lateness. */
export function troubleOf(line: CheckLine): number {
  if (line.kind === 'unreadable') return Number.POSITIVE_INFINITY;
  const { verdict, problems, wire } = line.check;
  const rank =
    verdict === 'does-not-fit' ? 3 : verdict === 'fits-with-changes' ? 2 : problems.length > 0 ? 1 : 0;
  return rank * 1e12 + wire.packed.worstOnsetLatenessMicros;
}

const VERDICTS = {
  fits: 'fits',
  'fits-with-changes': 'with changes',
  'does-not-fit': 'does not fit',
} as const;

const nameOf = (line: CheckLine) => (line.kind === 'unreadable' ? line.file : line.check.file);

/** Cuts a path at its front: the file's own name matters most. */
function cutLeft(text: string, width: number, ascii: boolean): string {
  const start = ascii ? '..' : '…';
  return text.length <= width ? text : `${start}${text.slice(text.length - width + start.length)}`;
}
