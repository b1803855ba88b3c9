import { expect, test } from 'vitest';
import { logRemarks, type ToldFault } from '../../../src/core/compare/log-remarks.ts';
import { standstillWords } from '../../../src/core/compare/standstills.ts';
import { FAULT_WORDS, Fault, REST_WORDS } from '../../../src/core/midi/stream-fault.ts';

const remarks = (...lines: readonly string[]) =>
  logRemarks(new TextEncoder().encode(['# wirepit log', ...lines].join('\n')));
const one = (remark: string): readonly ToldFault[] => remarks(`# 5\tport\t${remark}`).stream[0]?.faults ?? [];
const STRAY = FAULT_WORDS[Fault.strayData]!;

test('a fault: what, where, and the bytes of it', () => {
  expect(remarks(`# 600000\tin\tbyte 6: ${STRAY}: 41 7F`)).toEqual({
    stream: [
      {
        micros: 600_000,
        text: `byte 6: ${STRAY}: 41 7F`,
        faults: [{ kind: Fault.strayData, offset: 6, bytes: [0x41, 0x7f] }],
      },
    ],
    standstills: [],
  });
  expect(one(`byte 12: ${FAULT_WORDS[Fault.truncated]}`)).toEqual([
    { kind: Fault.truncated, offset: 12, bytes: [] },
  ]);
  expect(one(`byte 0: ${REST_WORDS}: 01`)).toEqual([{ kind: 'rest', offset: 0, bytes: [1] }]);
});

test('that a SysEx was cut say its own bytes; other words are none', () => {
  expect(one(`byte 6: ${FAULT_WORDS[Fault.sysExCut]}: 41`)).toEqual([]);
  expect(one('byte 6: something else: 41')).toEqual([]);
  expect(one(`byte six: ${STRAY}`)).toEqual([]);
  expect(one(STRAY)).toEqual([]);
});

test('of many in a second how many of each kind, as many as a wire can carry (MIDI 1.0, p. 1: 31,250 bits)', () => {
  const cut = FAULT_WORDS[Fault.sysExCut];
  const told = one(`and in the same second: ${STRAY} (2), ${REST_WORDS} (1), ${cut} (7), nothing (3)`);
  expect(told.map(({ kind }) => kind)).toEqual([Fault.strayData, Fault.strayData, 'rest']);
  expect(told[0]).toEqual({ kind: Fault.strayData, offset: Number.NaN, bytes: [] });
  expect(one(`and in the same second: ${STRAY} (99999)`)).toHaveLength(3125);
  expect(one(`and in the same second: ${STRAY}`)).toEqual([]);
});

test('when the listener stood still', () => {
  expect(remarks(`# 900000\tin\t${standstillWords(40_500)}`)).toEqual({
    stream: [],
    standstills: [{ micros: 900_000, lengthMicros: 40_500 }],
  });
});

test('in the order of their times, of a log of ours alone', () => {
  const lines = [
    `# 900\tin\tbyte 6: ${STRAY}`,
    '800\tin\t90 3C 40\tnote',
    `# 700\tin\tbyte 3: ${STRAY}`,
    `# 650\tin\t${standstillWords(2000)}`,
    `# 640\tin\t${standstillWords(1000)}`,
    '# a remark',
  ];
  const { stream, standstills } = remarks(...lines);
  expect(stream.map(({ micros }) => micros)).toEqual([700, 900]);
  expect(standstills.map(({ micros }) => micros)).toEqual([640, 650]);
  const other = logRemarks(new TextEncoder().encode(['# another log', ...lines].join('\n')));
  expect(other).toEqual({ stream: [], standstills: [] });
});
