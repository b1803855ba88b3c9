import { expect, test } from 'vitest';
import { placedInTime } from '../../../src/core/export/placed-in-time.ts';
import { makeImage } from '../../../src/core/export/player/make-image.ts';
import { memoryBytesOf, type PlayerMachine } from '../../../src/core/export/player/player-machine.ts';
import { type PlayedImage, readImage } from '../../../src/core/export/player/read-image.ts';
import { packStream } from '../../../src/core/export/stream/pack-stream.ts';
import type { WireMessages } from '../../../src/core/export/stream/wire-messages.ts';

const MACHINE: PlayerMachine = {
  cpu: 'z80',
  clockHz: 2_000_000,
  from: 0x280,
  to: 0x4000,
  out: 0x10,
  repeat: false,
};

/** Chords of 48 notes, four a second, put together from phrases that are put together from phrases. */
function bursts(): WireMessages {
  let seed = 1;
  const oneOf = <Of>(all: readonly Of[]): Of => {
    seed = (Math.imul(seed, 1_103_515_245) + 12_345) >>> 0;
    return all[(seed >>> 16) % all.length]!;
  };
  let phrases = Array.from({ length: 20 }, (_, key) => [[36 + 5 * key, 1 + 40 * (key % 3)]]);
  for (let depth = 0; depth < 6; depth += 1)
    phrases = phrases.map(() => [...oneOf(phrases), ...oneOf(phrases)]);
  const messages: number[][] = [];
  const starts: number[] = [];
  for (let chord = 0; chord < 40; chord += 1)
    for (const [at, note] of oneOf(phrases).slice(0, 48).entries()) {
      starts.push(250_000 * chord + 656 * at);
      messages.push(messages.length === 0 ? [0x90, ...note] : note);
    }
  const first = [0];
  for (const message of messages) first.push(first.at(-1)! + message.length);
  return {
    count: messages.length,
    bytes: Uint8Array.from(messages.flat()),
    first: Uint32Array.from(first),
    startMicros: Float64Array.from(starts),
  };
}

/** The player's unit is 32 cycles, so 16 microseconds here. */
function worstLate({ sentUnits, dueUnits }: PlayedImage): number {
  return 16 * Math.max(...sentUnits.map((sent, at) => sent - dueUnits[at]! - (sentUnits[0]! - dueUnits[0]!)));
}

test('bursts that would be late are packed with fewer levels: in time, and the same bytes', () => {
  const messages = bursts();
  const packed = packStream(messages, undefined, 500_000, MACHINE, 2_700);
  const plain = makeImage(MACHINE, packed.table, packed.parts, packed.stepUnits);
  expect(worstLate(readImage(plain.bytes) as PlayedImage)).toBeGreaterThan(700);
  const { image, played, lateUnits } = placedInTime(packed, MACHINE);
  expect([...played.bytes]).toEqual([...messages.bytes]);
  expect(readImage(image.bytes)).toEqual(played);
  expect(worstLate(played)).toBeLessThanOrEqual(600);
  expect(16 * Math.max(...lateUnits)).toBe(worstLate(played));
  // Where memory has no room for what that takes, the song goes on fitting.
  const room = memoryBytesOf('z80', plain.bytes.length, 0);
  const tight = placedInTime(packed, { ...MACHINE, to: MACHINE.from + room });
  expect(tight.image.bytes.length).toBeLessThanOrEqual(room);
});
