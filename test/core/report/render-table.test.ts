import { expect, test } from 'vitest';
import { type CheckLine, renderTable, troubleOf } from '../../../src/core/report/render-table.ts';

type Verdict = 'fits' | 'fits-with-changes' | 'does-not-fit';

function checked(
  file: string,
  verdict: Verdict,
  late = 0,
  problems: string[] = [],
  findings: string[] = [],
): CheckLine {
  const check = {
    ...{ file, verdict },
    song: { durationSeconds: 61 },
    notes: { count: 7 },
    polyphony: { most: 3 },
    wire: {
      fileOrder: { worstOnsetLatenessMicros: 2000 },
      packed: { worstOnsetLatenessMicros: late },
      boundMicros: 500,
    },
    problems: problems.map((code) => ({ code })),
    findings: findings.map((code) => ({ code, severity: code.startsWith('p') ? 'problem' : 'hint' })),
  };
  return { kind: 'checked', check } as unknown as CheckLine;
}
const broken = (file: string, reason = 'This is a text file.'): CheckLine => ({
  kind: 'unreadable',
  file,
  reason,
});
const table = (lines: CheckLine[], ascii = false) => renderTable(lines, { ascii, clean: (words) => words });
const names = (lines: CheckLine[]) => table(lines).map((line) => line.slice(14).split(/\s+/)[0]);

test('the most troubled first: unreadable, does not fit, with changes, with problems, then the latest, then by name', () => {
  const lines = [
    checked('c', 'fits', 5),
    checked('b', 'fits', 5),
    checked('d', 'fits', 9e11),
    checked('e', 'fits', 0, ['late']),
    checked('f', 'fits-with-changes'),
    checked('g', 'does-not-fit'),
    broken('h'),
  ];
  expect(names(lines)).toEqual(['song', 'h', 'g', 'f', 'e', 'd', 'b', 'c']);
  expect(names(lines.toReversed())).toEqual(['song', 'h', 'g', 'f', 'e', 'd', 'b', 'c']);
  expect(lines.map(troubleOf)).toEqual([5, 5, 9e11, 1e12, 2e12, 3e12, Number.POSITIVE_INFINITY]);
});

test('figures of each, and what is the trouble: a word each, of findings in the file which they are', () => {
  const lines = [
    checked(
      'song.mid',
      'fits-with-changes',
      1500,
      ['finding', 'late', 'finding'],
      ['p-one', 'hint', 'p-one', 'p-two'],
    ),
    broken('x.mid'),
  ];
  expect(table(lines)).toEqual([
    'verdict       song      length  notes  keys  file order  packed   least  problems',
    'unreadable    x.mid                                                      This is a text file.',
    'with changes  song.mid    1:01      7     3      2.0 ms  1.5 ms  0.5 ms  p-one p-two late',
  ]);
});

test('a path of more than 36 letters loses its front, a reason of more than 40 its end', () => {
  const path = (length: number) => `${'a'.repeat(length - 5)}/name`;
  const name = (length: number, ascii: boolean) =>
    table([checked(path(length), 'fits')], ascii)[1]!.slice(9, 45);
  expect(name(36, false)).toBe(path(36));
  expect(name(37, false)).toBe(`…${path(37).slice(-35)}`);
  expect(name(37, true)).toBe(`..${path(37).slice(-34)}`);
  const reason = (length: number) =>
    table([broken('x', 'r'.repeat(length))])[1]!
      .split(/\s+/)
      .at(-1)!;
  expect([reason(40), reason(41)]).toEqual(['r'.repeat(40), `${'r'.repeat(39)}…`]);
});
