import { expect, test } from 'vitest';
import { type HeardFile, readHeardFile } from '../../../src/core/compare/heard-file.ts';
import { bytesOfSysEx, type HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { standstillWords } from '../../../src/core/compare/standstills.ts';
import { FAULT_WORDS, Fault, REST_WORDS } from '../../../src/core/midi/stream-fault.ts';
import { songBytes, sysEx, tempo } from '../../support/song-bytes.ts';

const read = (file: string | Uint8Array): HeardFile =>
  readHeardFile(typeof file === 'string' ? new TextEncoder().encode(file) : file);
function heard(file: string | Uint8Array): HeardMusic {
  const found = read(file);
  if (found.kind !== 'heard') throw new Error(found.kind);
  return found.music;
}

test('bytes: without times, each at its place on the wire', () => {
  const { on, hasTimes, bytes } = heard(Uint8Array.of(0x90, 60, 64, 62, 65));
  expect([hasTimes, bytes, [...on.key], [...on.micros]]).toEqual([false, 5, [60, 62], [0, 960]]);
});

test('lines of times and bytes; a line that is none is told by its number', () => {
  const { on, hasTimes } = heard('500 90 3C 40\n1500.5 80 3C 00\n');
  expect([hasTimes, on.micros[0], on.offMicros[0]]).toEqual([true, 500, 1500.5]);
  expect(read('500 90 3C 40\nno line\n600 80 3C 00\n')).toEqual({ kind: 'broken', line: 2 });
});

test('a recorded song: its messages at their times, a program with one data byte, SysEx whole, of other events nothing', () => {
  const song = songBytes(
    [
      [
        [0, tempo(1_000_000)],
        [0, [0xc1, 5]],
        [48, [0x91, 60, 64]],
        [0, [0xd1, 7]],
        [0, [0xe1, 1, 2]],
        [0, sysEx([0xf0, 0x7d, 9, 0xf7])],
        // An F7 event sends what is in it as it stands: here a song select.
        [0, [0xf7, 2, 0xf3, 4]],
        [48, [0x81, 60, 0]],
      ],
    ],
    { division: 96 },
  );
  const { on, state, sysEx: special, said, faults, hasTimes } = heard(song);
  expect([on.micros[0], on.offMicros[0], hasTimes, faults.count]).toEqual([500_000, 1_000_000, true, 0]);
  expect([...state.status]).toEqual([0xc1, 0xd1, 0xe1]);
  expect([[...state.data1], [...state.data2]]).toEqual([
    [5, 7, 1],
    [0, 0, 2],
  ]);
  expect([special.count, [...bytesOfSysEx(special, 0)], special.cut[0]]).toEqual([1, [0x7d, 9], 0]);
  expect([...said.status]).toEqual([0xc1, 0x91, 0xd1, 0xe1, 0xf0, 0xf3, 0x81]);
});

test('a log: its remarks on faults come where they stand in time, and those on standstills', () => {
  const log = [
    '# wirepit log',
    '1000\tin\t90 3C 40\tnote',
    `# 1000\tin\tbyte 3: ${FAULT_WORDS[Fault.strayData]}: 41`,
    '2000\tin\t80 3C 00\tnote',
    `# 2500\tin\tand in the same second: ${FAULT_WORDS[Fault.truncated]} (2)`,
    `# 9000\tin\t${standstillWords(3000)}`,
  ].join('\n');
  const { faults, standstills, isTorn } = heard(log);
  expect([...faults.kind]).toEqual([Fault.strayData, Fault.truncated, Fault.truncated]);
  // A fault of a message's own moment is told before it.
  expect([...faults.message]).toEqual([0, 2, 2]);
  expect([[...standstills.fromMicros], [...standstills.toMicros], isTorn]).toEqual([[6000], [9000], false]);
  expect(heard(`# wirepit log\n# 10\tin\tbyte 0: ${REST_WORDS}: 01\n1000\tin\t90 3C 40\tnote`).isTorn).toBe(
    true,
  );
});
