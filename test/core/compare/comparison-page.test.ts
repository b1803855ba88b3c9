import { describe, expect, test } from 'vitest';
import { NO_SYSEX } from '../../../src/core/compare/sysex-document.ts';
import { bar, page } from './page-of.ts';

/** From a line that begins so to the next empty one. */
const below = (lines: readonly string[], begin: string) => {
  const from = lines.findIndex((line) => line.startsWith(begin));
  const rest = lines.slice(from + 1);
  const end = rest.indexOf('');
  return from < 0 ? [] : end < 0 ? rest : rest.slice(0, end);
};

describe('the strips by bar', () => {
  // 60 wide: 47 cells, and a cell for each bar where these are fewer.
  test('a cell a bar, as high as its share of the most; kinds of which there is nothing have no strip', () => {
    const bars = [
      bar(1, { missing: 8 }),
      bar(3, { missing: 4, late: 1 }),
      bar(4, { missing: 1 }),
      bar(20, { missing: 6 }),
    ];
    expect(below(page({ bars }), 'Bars 1 to 20:')).toEqual([
      //          bar 1      4               20
      '  missing  # :.               |',
      '  late       #',
      '  worst    bar 1 (8), bar 20 (6), bar 3 (5), bar 4 (1)',
    ]);
    expect(below(page({ bars }, { ascii: false }), 'Bars 1 to 20:')[0]).toBe(
      '  missing  █ ▄▂               ▆',
    );
  });

  test('a long song has some bars in a cell, summed, and never more cells than the page is wide', () => {
    // 94 bars in 47 cells: two in each.
    const bars = [bar(1, { added: 1 }), bar(2, { added: 1 }), bar(3, { added: 1 }), bar(94, { changed: 2 })];
    const lines = below(page({ bars }, { lastBar: 94 }), 'Bars 1 to 94:');
    expect(lines.slice(0, 2)).toEqual(['  added    #:', `  changed  ${' '.repeat(46)}#`]);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(60);
  });

  test('the five worst bars, all kinds together, the first of equals first', () => {
    const bars = Array.from({ length: 7 }, (_, n) => bar(n + 1, { missing: n % 3, late: n % 2 }));
    expect(below(page({ bars }), 'Bars').at(-1)).toBe(
      '  worst    bar 6 (3), bar 2 (2), bar 3 (2), bar 4 (1), bar 5 (1)',
    );
  });

  test('none where nothing is in any bar', () => {
    expect(page({}).some((line) => line.startsWith('Bars '))).toBe(false);
  });
});

describe('the histogram of lateness', () => {
  const lateness = (binMicros: number, counts: readonly number[]) => ({
    p50Micros: 100,
    p99Micros: 900,
    maxMicros: 5000,
    boundMaxMicros: 2000,
    histogram: { binMicros, counts: [...counts, ...new Array<number>(20 - counts.length).fill(0)] },
  });
  const HEAD = 'How late, and how many notes:';
  // 60 wide: 41 for the longest bar.
  const hashes = (count: number) => '#'.repeat(count);

  test('a line for each bin up to the last that has a note, its bar as long as its share of the most', () => {
    expect(below(page({ lateness: lateness(2000, [82, 40, 0, 1]) }), HEAD)).toEqual([
      `      0 ms ${hashes(41)} 82`,
      `      2 ms ${hashes(20)} 40`,
      '      4 ms  0',
      // Few as they are, they are to be seen.
      '      6 ms # 1',
    ]);
  });

  test('bins below a millisecond have tenths; the last is open', () => {
    const counts = [5, ...new Array<number>(18).fill(0), 1];
    const lines = below(page({ lateness: lateness(500, counts) }, { ascii: false }), HEAD);
    expect(lines).toHaveLength(20);
    expect(lines[0]).toBe(`    0.0 ms ${'▇'.repeat(41)} 5`);
    expect(lines[1]).toBe('    0.5 ms  0');
    expect(lines[19]).toBe(`   >9.5 ms ${'▇'.repeat(8)} 1`);
  });

  test('only where something differs, and there are times', () => {
    expect(page({ lateness: lateness(500, [5]), verdict: 'same' })).not.toContain(HEAD);
    expect(page({ lateness: null })).not.toContain(HEAD);
    for (const line of page({ lateness: lateness(100, [1_000_000, 7]) }))
      expect(line.length).toBeLessThanOrEqual(60);
  });
});

test('a bar of which little is missing beside another is seen all the same', () => {
  const bars = [bar(1, { missing: 1 }), bar(2, { missing: 100 })];
  expect(below(page({ bars }), 'Bars')[0]).toBe('  missing  .#');
});

describe('differences in lines', () => {
  const line = {
    kind: 'missing',
    what: 'note',
    bar: 2,
    beat: 3,
    channel: 1,
    note: 'C4',
    seconds: 61,
    heard: null,
  } as const;
  const listed = (count: number, missing: number) =>
    below(
      page({
        differences: new Array<typeof line>(count).fill(line),
        notes: { song: 99, heard: 99, matched: 99, missing, added: 0, changed: 0, late: 0, unheard: 0 },
      }),
      'First differences:',
    );

  test('ten of them, and how many more there are', () => {
    const words = '  2:3 (1:01)       channel 1, C4 is missing';
    expect(listed(3, 3)).toEqual([words, words, words]);
    expect(listed(10, 10)).toHaveLength(10);
    expect(listed(11, 11).slice(-2)).toEqual([words, '  and 1 more']);
    expect(listed(20, 300).slice(-2)).toEqual([words, '  and 290 more']);
  });
});

test('a song that was played several times says so', () => {
  const lines = page({ times: 3 }, { width: 200 });
  expect(lines).toContain('played     3 times, each judged by itself; time and lateness are of the last');
  expect(page({}).some((line) => line.startsWith('played'))).toBe(false);
});

test('a cause says in how many parts it is seen, or in how many times', () => {
  const cause = { code: 'clock-rate', text: 'why', evidence: 'seen', look: 'there', part: 2 } as const;
  const told = (seenIn: number, times?: number) =>
    page({ causes: [{ ...cause, seenIn }], parts: 4, ...(times !== undefined && { times }) }).find((line) =>
      line.startsWith('    in '),
    );
  expect([told(1), told(3)]).toEqual([
    '    in 1 of 4 parts; in part 2 seen',
    '    in 3 of 4 parts; in part 2 (the last of them) seen',
  ]);
  expect(told(3, 4)).toBe('    in 3 of 4 times; in time 2 (the last of them) seen');
});

test('SysEx and what is lost with each message', () => {
  const lines = page(
    {
      sysEx: { ...NO_SYSEX, song: 2, heard: 1, leftOut: 1 },
      clock: { ppm: 12, ppmUncertainty: 3, law: 'tempo-map', lostPerMessageMicros: 12_345 },
      lateness: {
        p50Micros: 1,
        p99Micros: 1,
        maxMicros: 1,
        boundMaxMicros: 1,
        histogram: { binMicros: 1, counts: [1] },
      },
    },
    { width: 200 },
  );
  expect(lines).toContain('SysEx      2 written, 1 heard: 0 missing, 0 added, 0 changed, 0 early, 0 late');
  expect(lines).toContain(
    '           1 did not come and may be left out: makers’ own, or what was in force already',
  );
  expect(lines).toContain(
    "time       by the song's tempo map; clock +12 ± 3 ppm (+ is slow), 12.35 ms lost with each message",
  );
});
