import { expect, test } from 'vitest';
import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { bar, comparisonOf, page } from './page-of.ts';

/** One of everything. */
const FULL: Partial<ComparisonDocument> = {
  notes: { song: 420, heard: 418, matched: 410, missing: 12, added: 3, changed: 4, late: 2, unheard: 1 },
  span: { fromBar: 3, toBar: 19, firstBar: 1, lastBar: 20 },
  offs: { missing: 2, added: 0 },
  clock: { ppm: 120, ppmUncertainty: 3, law: 'first-tempo', lostPerMessageMicros: 1250 },
  lateness: {
    p50Micros: 400,
    p99Micros: 12_340,
    maxMicros: 31_000,
    boundMaxMicros: 2880,
    histogram: { binMicros: 2000, counts: [300, 60, 7, 0, 1, ...new Array<number>(14).fill(0), 2] },
  },
  standstills: { count: 2, longestMicros: 60_500, notes: 1 },
  state: [1, 2, 3, 4, 5].map((channel) => ({
    channel,
    what: 'program',
    notes: channel,
    written: 20,
    heard: channel === 1 ? null : 7,
    bar: 4,
  })),
  faults: { 'stray data': 3, 'sysex cut': 1 },
  causes: [1, 2, 3, 4, 5, 6, 7].map((n) => ({
    code: 'slow-chords',
    text: `cause ${n}`,
    evidence: `seen ${n} times`,
    look: `place ${n}`,
  })),
  bars: [bar(3, { missing: 12 }), bar(4, { added: 3, late: 2 }), bar(19, { changed: 4 })],
  hanging: [{ channel: 1, key: 60, seconds: 3 }],
  differences: Array.from({ length: 11 }, (_, n) => ({
    kind: (['missing', 'added', 'changed'] as const)[n % 3]!,
    what: 'note' as const,
    bar: 3,
    beat: 1 + (n % 4),
    channel: 2,
    note: 'C4',
    seconds: 4.5 + n,
    heard: n % 3 === 2 ? 'D4' : null,
  })),
};

test('one of everything, 72 cells wide', () => {
  expect(page(FULL, { width: 72 })).toEqual([
    'heard.log against song.mid',
    'Differs.',
    '',
    'notes      420 written, 418 heard: 12 missing, 3 added, 4 changed',
    '           heard: bars 3 to 19 of 1 to 20',
    '           1 note before the recording begins or after it ends: not',
    '           judged',
    'releases   2 did not come',
    'sound      channel 1, program: not set instead of 20 for 1 note, first',
    '           in bar 4',
    'sound      channel 2, program: 7 instead of 20 for 2 notes, first in bar',
    '           4',
    'sound      channel 3, program: 7 instead of 20 for 3 notes, first in bar',
    '           4',
    'sound      channel 4, program: 7 instead of 20 for 4 notes, first in bar',
    '           4',
    '           and 1 more of this kind (--json has all)',
    'stream     4 faults: stray data 3, sysex cut 1',
    'hanging    1 key at the end',
    'time       by its first tempo throughout; clock +120 ± 3 ppm (+ is',
    '           slow), 1.25 ms lost with each message',
    'lateness   half within 0.4 ms, 99 % within 12.3 ms, latest 31.0 ms; the',
    '           wire at its best 2.9 ms; 2 notes count as late',
    '           wirepit itself stood still 2 times, 60.5 ms at the longest:',
    '           the lateness of 1 note heard then is not known and not',
    '           counted',
    '',
    'Why:',
    '  - cause 1',
    '    seen 1 times',
    '    Look at: place 1',
    '  - cause 2',
    '    seen 2 times',
    '    Look at: place 2',
    '  - cause 3',
    '    seen 3 times',
    '    Look at: place 3',
    '  - cause 4',
    '    seen 4 times',
    '    Look at: place 4',
    '  - cause 5',
    '    seen 5 times',
    '    Look at: place 5',
    '  - cause 6',
    '    seen 6 times',
    '    Look at: place 6',
    '',
    'Bars 1 to 20:',
    '  missing    #',
    '  added       #',
    '  changed                    #',
    '  late        #',
    '  worst    bar 3 (12), bar 4 (5), bar 19 (4)',
    '',
    'First differences:',
    '  3:1 (0:04)       channel 2, C4 is missing',
    '  3:2 (0:05)       channel 2, C4 is not in the song',
    '  3:3 (0:06)       channel 2, C4 came as D4',
    '  3:4 (0:07)       channel 2, C4 is missing',
    '  3:1 (0:08)       channel 2, C4 is not in the song',
    '  3:2 (0:09)       channel 2, C4 came as D4',
    '  3:3 (0:10)       channel 2, C4 is missing',
    '  3:4 (0:11)       channel 2, C4 is not in the song',
    '  3:1 (0:12)       channel 2, C4 came as D4',
    '  3:2 (0:13)       channel 2, C4 is missing',
    '  and 9 more',
    '',
    'How late, and how many notes:',
    '      0 ms ##################################################### 300',
    '      2 ms ########### 60',
    '      4 ms # 7',
    '      6 ms  0',
    '      8 ms # 1',
    '     10 ms  0',
    '     12 ms  0',
    '     14 ms  0',
    '     16 ms  0',
    '     18 ms  0',
    '     20 ms  0',
    '     22 ms  0',
    '     24 ms  0',
    '     26 ms  0',
    '     28 ms  0',
    '     30 ms  0',
    '     32 ms  0',
    '     34 ms  0',
    '     36 ms  0',
    '    >38 ms # 2',
  ]);
});

test('the same in signs that every terminal has, and wider', () => {
  expect(page(FULL, { width: 100, ascii: false }).slice(-16)).toEqual([
    '      8 ms ▇ 1',
    '     10 ms  0',
    '     12 ms  0',
    '     14 ms  0',
    '     16 ms  0',
    '     18 ms  0',
    '     20 ms  0',
    '     22 ms  0',
    '     24 ms  0',
    '     26 ms  0',
    '     28 ms  0',
    '     30 ms  0',
    '     32 ms  0',
    '     34 ms  0',
    '     36 ms  0',
    '    >38 ms ▇ 2',
  ]);
});

const rowOf = (label: string, some: Partial<ComparisonDocument>) =>
  page({ ...FULL, ...some }, { width: 300 }).find((line) => line.startsWith(label.padEnd(11)));

test.each<[string, Partial<ComparisonDocument>, string | undefined]>([
  ['time', { lateness: null }, 'time       its first tempo throughout'],
  [
    'time',
    { clock: { ppm: null, ppmUncertainty: null, law: 'tempo-120', lostPerMessageMicros: 0 } },
    'time       by 120 quarters a minute throughout; too little to tell the clock',
  ],
  [
    'time',
    { clock: { ppm: null, ppmUncertainty: 250.4, law: 'tracks-in-turn', lostPerMessageMicros: 0 } },
    'time       by one track after another; too little to tell the clock (± 250 ppm)',
  ],
  [
    'time',
    { clock: { ppm: -7, ppmUncertainty: 1, law: 'tempo-map', lostPerMessageMicros: 0 } },
    "time       by the song's tempo map; clock -7 ± 1 ppm (+ is slow)",
  ],
  [
    'time',
    { clock: { ppm: 0, ppmUncertainty: 1, law: 'no-timing', lostPerMessageMicros: 0 } },
    'time       by no law of time; clock 0 ± 1 ppm (+ is slow)',
  ],
  [
    'lateness',
    { notes: { ...comparisonOf(FULL).notes, late: 1 } },
    'lateness   half within 0.4 ms, 99 % within 12.3 ms, latest 31.0 ms; the wire at its best 2.9 ms; 1 note counts as late',
  ],
  [
    'lateness',
    { notes: { ...comparisonOf(FULL).notes, late: 0 } },
    'lateness   half within 0.4 ms, 99 % within 12.3 ms, latest 31.0 ms; the wire at its best 2.9 ms',
  ],
  ['lateness', { lateness: null }, undefined],
  [
    'hanging',
    { hanging: [1, 2].map((key) => ({ channel: 1, key, seconds: 3 })) },
    'hanging    2 keys at the end',
  ],
  ['hanging', { hanging: [] }, undefined],
  ['releases', { offs: { missing: 0, added: 3 } }, undefined],
  [
    'stream',
    { faults: { 'sysex cut': 1, 'stray data': 0 } },
    'stream     1 fault: sysex cut 1, stray data 0',
  ],
  ['stream', { faults: { 'stray data': 0 } }, undefined],
])('%s: %j', (label, some, text) => {
  expect(rowOf(label, some)).toBe(text);
});

test.each<[string, Partial<ComparisonDocument>]>([
  ['all of it was heard', { span: { fromBar: 1, toBar: 20, firstBar: 1, lastBar: 20 } }],
  ['nothing is unheard', { notes: { ...comparisonOf(FULL).notes, unheard: 0 } }],
  ['four of a kind', { state: comparisonOf(FULL).state.slice(0, 4) }],
  ['it never stood still', { standstills: { count: 0, longestMicros: 0, notes: 0 } }],
])('a line less where %s', (_what, some) => {
  expect(page({ ...FULL, ...some }, { width: 300 })).toHaveLength(page(FULL, { width: 300 }).length - 1);
});

test('verdicts', () => {
  expect(page({ verdict: 'same' }).slice(0, 2)).toEqual([
    'heard.log against song.mid',
    'Same: the music as written.',
  ]);
  expect(page({ verdict: 'part' })[1]).toBe(
    'The music as written, as far as it was heard: that is not all of it.',
  );
  expect(page({ verdict: 'same' })).not.toContain('Why:');
  expect(page({ verdict: 'differs' }).at(-1)).toBe('Why: that cannot be told from this recording.');
  expect(page({ isTheSong: false })).toEqual([
    'heard.log against song.mid',
    'This is not the song: of 100 notes written and 100 heard 100 could be one.',
  ]);
});
