import { describe, expect, test } from 'vitest';
import { NO_SYSEX, type SysExDocument, type SysExLine } from '../../../src/core/compare/sysex-document.ts';
import { sysExLines, sysExWords } from '../../../src/core/compare/sysex-words.ts';

const LINE: SysExLine = {
  kind: 'missing',
  name: 'Master Volume',
  bar: 2,
  beat: 3,
  seconds: 61.5,
  notes: null,
  byte: null,
  written: 'F0 01 F7',
  heard: 'F0 02 F7',
};

describe('one of them in words', () => {
  test.each<[Partial<SysExLine>, string]>([
    [{}, 'Master Volume is missing (F0 01 F7)'],
    [{ kind: 'added' }, 'Master Volume is not in the song (F0 02 F7)'],
    [
      { kind: 'changed', byte: 5, written: '01', heard: '02' },
      'Master Volume came with 02 for 01 from byte 5 on',
    ],
    [
      { kind: 'changed', byte: 5, written: '', heard: '02' },
      'Master Volume came with 02 for nothing from byte 5 on',
    ],
    [
      { kind: 'changed', byte: 5, written: '01', heard: '' },
      'Master Volume came with nothing for 01 from byte 5 on',
    ],
    [{ kind: 'late', notes: 1 }, 'Master Volume came late: 1 note began without it'],
    [{ kind: 'late', notes: 2 }, 'Master Volume came late: 2 notes began without it'],
    [{ kind: 'early', notes: 3 }, 'Master Volume came early: 3 notes began with it before their time'],
    [{ kind: 'late' }, 'Master Volume came late: 0 notes began without it'],
    [{ kind: 'early' }, 'Master Volume came early: 0 notes began with it before their time'],
  ])('%j', (some, words) => {
    expect(sysExWords({ ...LINE, ...some })).toBe(words);
  });
});

describe('lines of the page', () => {
  const lines = (some: Partial<SysExDocument>) => sysExLines({ ...NO_SYSEX, ...some });
  const COUNTS = { song: 9, heard: 8, missing: 1, added: 2, changed: 3, early: 4, late: 5 };
  const HEAD = '9 written, 8 heard: 1 missing, 2 added, 3 changed, 4 early, 5 late';

  test('none where none matters and none came that does', () => {
    expect(lines({ heard: 7 })).toEqual([]);
    expect(lines({ song: 1 })).toEqual([
      '1 written, 0 heard: 0 missing, 0 added, 0 changed, 0 early, 0 late',
    ]);
    expect(lines({ differences: [LINE], missing: 1 })).toHaveLength(2);
  });

  test('the first four, with where; and how many more there are', () => {
    const some = (count: number) => new Array<SysExLine>(count).fill(LINE);
    const line = '2:3 (1:01) Master Volume is missing (F0 01 F7)';
    const more = (count: number) => `and ${count} more of this kind (--json has the first hundred)`;
    expect(lines({ ...COUNTS, differences: some(15) })).toEqual([HEAD, line, line, line, line, more(11)]);
    const missing = (missing: number) => lines({ song: 9, missing, differences: some(missing) }).slice(1);
    expect(missing(4)).toEqual([line, line, line, line]);
    expect(missing(5)).toEqual([line, line, line, line, more(1)]);
    expect(missing(1)).toEqual([line]);
  });

  test('what need not come, and what was before the recording', () => {
    const left = 'did not come and may be left out: makers’ own, or what was in force already';
    const before = 'before the first note not heard: the recording may have begun behind that';
    expect(lines({ ...COUNTS, differences: [], leftOut: 1, unheard: 2 }).slice(-2)).toEqual([
      `1 ${left}`,
      `2 ${before}`,
    ]);
    expect(lines({ song: 1, leftOut: 3 }).at(-1)).toBe(`3 ${left}`);
    expect(lines({ song: 1, unheard: 1 }).at(-1)).toBe(`1 ${before}`);
  });
});
