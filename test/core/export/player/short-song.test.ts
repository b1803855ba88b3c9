import { expect, test } from 'vitest';
import { verifySong } from '../../../../src/board/verify-song.ts';
import type { PlayerMachine } from '../../../../src/core/export/player/player-machine.ts';
import { prepareSong } from '../../../../src/core/export/prepare-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';
import { M6502, Z80 } from './machines.ts';

const pin = (at: number, isLow: boolean) => ({ at, mask: 4, isLow });

/** A bar with chords, three times, with something else in the last; a bend, a program, a rest that is long for a grid. */
const chord = (...keys: number[]): DeltaEvent[] => [
  ...keys.map((key): DeltaEvent => [0, [0x90, key, 100]]),
  ...keys.map((key, n): DeltaEvent => [n === 0 ? 12 : 0, [0x80, key, 64]]),
];
const bar = [...chord(60, 64, 67), ...chord(62, 65), ...chord(36), [0, [0xe1, 0, 70]] as DeltaEvent];
const timeline = buildTimeline(
  readSong(songBytes([[[0, [0xc0, 5]], ...bar, ...bar, [0, [0xb3, 7, 90]], ...bar, [150, [0x99, 38, 1]]]])),
);

test.each<[string, PlayerMachine]>([
  ['Z80', Z80],
  ['Z80 that asks whether it may send, low', { ...Z80, ready: pin(0x11, true) }],
  [
    'Z80 that asks whether it may send, high, and can be stopped',
    { ...Z80, ready: pin(0x11, false), stop: pin(0x12, true) },
  ],
  ['6502', M6502],
  ['6502 that asks whether it may send, low', { ...M6502, ready: pin(0xf811, true) }],
  [
    '6502 that asks whether it may send, high, and can be stopped',
    { ...M6502, ready: pin(0xf811, false), stop: pin(0xf812, false) },
  ],
])('a short song on a %s: every byte, at the cycle the account says', async (_, machine) => {
  const song = prepareSong(timeline, {}, machine)!;
  expect([...song.played.bytes]).toEqual([...song.wireBytes]);
  const verified = (await verifySong(song, machine))!;
  expect(verified).toMatchObject({ equal: verified.bytes, accountCycles: 0, strayAccesses: 0 });
  expect(verified.shortestGapMicros).toBeGreaterThanOrEqual(320);
});
