import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { runImage, verifySong } from '../../../../src/board/verify-song.ts';
import { crossesPage } from '../../../../src/core/export/player/assemble-6502.ts';
import { IMAGE_HEAD } from '../../../../src/core/export/player/image.ts';
import { playerCodeFor } from '../../../../src/core/export/player/player-code.ts';
import type { PlayerMachine } from '../../../../src/core/export/player/player-machine.ts';
import { prepareSong } from '../../../../src/core/export/prepare-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';
import { M6502, Z80 } from './machines.ts';

const ferry = buildTimeline(readSong(new Uint8Array(readFileSync('songs/night-ferry.mid'))));
/** A dozen seconds of it have every path that the whole has. */
const OPENING = { end: { micros: 12_000_000, tick: 0xffff_ffff } };
const bitOf = (machine: PlayerMachine, at: number, isLow: boolean) => ({
  at: machine.cpu === 'z80' ? at : 0xf800 + at,
  mask: 0x04,
  isLow,
});

/** Keys struck and not released, pedals down and bends off centre after the bytes (MIDI 1.0, pp. 5, 10, 12). */
function left(bytes: Uint8Array): string[] {
  const sounding = new Map<string, number>();
  let status = 0;
  let data: number[] = [];
  let notesOff = new Set<number>();
  const used = new Set<number>();
  for (const byte of bytes) {
    if (byte >= 0x80) {
      status = byte;
      data = [];
      continue;
    }
    data.push(byte);
    const kind = status & 0xf0;
    if (status >= 0xf0 || data.length < (kind === 0xc0 || kind === 0xd0 ? 1 : 2)) continue;
    const [first, second = 0] = data as [number, number?];
    data = [];
    const channel = status & 0x0f;
    used.add(channel);
    const key = `${channel}/${first}`;
    if (kind === 0x90 && second > 0) {
      sounding.set(key, (sounding.get(key) ?? 0) + 1);
      notesOff = new Set();
    } else if (kind === 0x80 || kind === 0x90) sounding.set(key, Math.max(0, (sounding.get(key) ?? 0) - 1));
    else if (kind === 0xb0 && [64, 66, 67, 69].includes(first)) sounding.set(`pedal ${key}`, second);
    else if (kind === 0xe0) sounding.set(`bend ${channel}`, first === 0 && second === 64 ? 0 : 1);
    else if (kind === 0xb0 && first === 123) notesOff.add(channel);
  }
  const found = [...sounding].filter(([, count]) => count > 0).map(([what]) => what);
  return [
    ...found,
    ...[...used].filter((one) => !notesOff.has(one)).map((one) => `no All Notes Off on ${one}`),
  ];
}

const machines: readonly (readonly [string, PlayerMachine])[] = [
  ['Z80', Z80],
  ['6502', M6502],
];

describe.each(machines)('%s, in an emulator that counts cycles', (_, machine) => {
  test('stopped at any moment, nothing is left sounding, and it returns', async () => {
    for (const [isLow, repeat] of [
      [false, false],
      [true, true],
    ] as const) {
      const board = { ...machine, repeat, stop: bitOf(machine, 0x12, isLow) };
      const song = prepareSong(ferry, OPENING, board)!;
      const lengthCycles = (song.played.sentUnits.at(-1)! * board.clockHz) / song.played.unitsPerSecond;
      await fc.assert(
        fc.asyncProperty(fc.double({ min: 0, max: 0.98, noNaN: true }), async (part) => {
          const stopAtCycle = part * lengthCycles;
          const mostCycles = stopAtCycle + 8 * board.clockHz;
          const run = (await runImage(song, board, { stopAtCycle, mostCycles, mostBytes: 1e6 }))!;
          expect(run).toMatchObject({ returned: true, strayReads: 0, strayWrites: 0 });
          expect(left(run.bytes)).toEqual([]);
          expect(run.bytes.length).toBeLessThan(song.wireBytes.length + song.silenceBytes.length);
          // The song up to there, then the silence, all of it.
          const own = run.bytes.length - song.silenceBytes.length;
          expect([...run.bytes.subarray(own)]).toEqual([...song.silenceBytes]);
          expect([...run.bytes.subarray(0, own)]).toEqual([...song.wireBytes.subarray(0, own)]);
        }),
        { numRuns: 4, seed: 7 },
      );
    }
  });

  test('stopped within what is referred to, all of the silence comes', async () => {
    // Every channel has something to end, more than is left of a bar; bars that are alike have rests in them.
    const used: DeltaEvent[] = Array.from({ length: 16 }, (_, channel) => [0, [0xb0 | channel, 7, 90]]);
    const bar = [60, 64, 67, 72].flatMap((key, channel): DeltaEvent[] => [
      [0, [0x90 | channel, key, 80]],
      [24, [0x80 | channel, key, 0]],
    ]);
    const board = { ...machine, stop: bitOf(machine, 0x12, false) };
    const bars = Array.from({ length: 6 }, () => bar).flat();
    const song = prepareSong(buildTimeline(readSong(songBytes([[...used, ...bars]]))), {}, board)!;
    expect(song.played.deepest).toBeGreaterThan(0);
    const lengthCycles = (song.played.sentUnits.at(-1)! * board.clockHz) / song.played.unitsPerSecond;
    for (let part = 1; part < 12; part += 1) {
      const stopAtCycle = (part / 12) * lengthCycles;
      const run = (await runImage(song, board, {
        stopAtCycle,
        mostCycles: 2 * lengthCycles,
        mostBytes: 1e6,
      }))!;
      expect(run).toMatchObject({ returned: true, strayReads: 0, strayWrites: 0 });
      expect([...run.bytes.subarray(run.bytes.length - song.silenceBytes.length)]).toEqual([
        ...song.silenceBytes,
      ]);
    }
  });

  test('a song that leaves a note, a pedal and a bend ends in silence by itself', async () => {
    const events: Parameters<typeof songBytes>[0][number] = [
      [0, [0xb0, 64, 127]],
      [0, [0xe0, 0, 100]],
      [0, [0x90, 60, 80]],
      [0, [0x90, 60, 80]],
      [48, [0x93, 40, 80]],
      [48, [0xb0, 7, 90]],
    ];
    const song = prepareSong(buildTimeline(readSong(songBytes([events]))), {}, machine)!;
    const run = (await runImage(song, machine, { mostBytes: 1e6, mostCycles: 1e8 }))!;
    expect(run.returned).toBe(true);
    expect(left(run.bytes)).toEqual([]);
  });

  test.each([false, true])(
    'a ready bit is asked (low: %s): every byte, at the cycle the account says',
    async (isLow) => {
      const board = { ...machine, ready: bitOf(machine, 0x11, isLow), stop: bitOf(machine, 0x12, !isLow) };
      const song = prepareSong(ferry, OPENING, board)!;
      const verified = (await verifySong(song, board))!;
      expect(verified).toMatchObject({ equal: verified.bytes, accountCycles: 0, strayAccesses: 0 });
      expect(verified.shortestGapMicros).toBeGreaterThanOrEqual(320);
    },
  );
});

describe('the 6502 player', () => {
  test('counted: every byte comes out, at the cycle the account says, wherever in a page it begins', async () => {
    for (const from of [0x2000, 0x2041, 0x20c3]) {
      const board = { ...M6502, from };
      const verified = (await verifySong(prepareSong(ferry, OPENING, board)!, board))!;
      expect(verified).toMatchObject({ equal: verified.bytes, accountCycles: 0, strayAccesses: 0 });
      expect(verified.worstLateMicros).toBeLessThanOrEqual(3000);
      expect(verified.shortestGapMicros).toBeGreaterThanOrEqual(320);
    }
  });

  test('no branch crosses a page, and with all that a board can ask for it is no larger than the goal', () => {
    const board = {
      ...M6502,
      ready: bitOf(M6502, 0x11, true),
      stop: bitOf(M6502, 0x12, true),
      repeat: true,
    };
    const { image } = prepareSong(ferry, OPENING, board)!;
    for (let at = 0; at < 0x100; at += 1) {
      const code = playerCodeFor(board, 0x2000 + at).assemble(image.symbols) as ReturnType<
        typeof import('../../../../src/core/export/player/assemble-6502.ts').assemble6502
      >;
      expect(code.branches.filter(crossesPage)).toEqual([]);
      expect(code.bytes.length + IMAGE_HEAD.size).toBeLessThanOrEqual(500);
    }
  });
});
