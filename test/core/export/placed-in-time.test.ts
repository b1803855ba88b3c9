import { describe, expect, test } from 'vitest';
import { placedInTime } from '../../../src/core/export/placed-in-time.ts';
import { makeImage } from '../../../src/core/export/player/make-image.ts';
import {
  memoryBytesOf,
  type PlayerMachine,
  stackBytesOf,
} from '../../../src/core/export/player/player-machine.ts';
import { type PlayedImage, readImage } from '../../../src/core/export/player/read-image.ts';
import { codeTable } from '../../../src/core/export/stream/code-table.ts';
import { codingOf } from '../../../src/core/export/stream/coding.ts';
import { evenOutlook } from '../../../src/core/export/stream/outlook.ts';
import { type PackedStream, packStream } from '../../../src/core/export/stream/pack-stream.ts';
import { SongSymbol } from '../../../src/core/export/stream/song-symbol.ts';
import { GrowingParts } from '../../../src/core/export/stream/stream-parts.ts';
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

describe('pairs in pairs, each 55 units where a byte has 21 (z80-paths.ts)', () => {
  const chain = Array.from({ length: 8 }, (_, n) => [n === 0 ? 1 : SongSymbol.pair + n - 1, 2] as const);
  const table = codeTable([], [], chain);
  const phrase = codingOf(table).phraseOf(SongSymbol.pair + 7);
  /** So many of them behind a first byte. */
  const song = (count: number): PackedStream => {
    const parts = new GrowingParts(1 + 9 * count);
    parts.literal(60, 1);
    for (let n = 0; n < count; n += 1) parts.phrase(phrase);
    const symbols = Int32Array.of(60, ...Array.from({ length: count }, () => phrase.symbols).flat());
    const outlook = evenOutlook(symbols.length);
    return { symbols, table, parts, outlook, size: 0, stepUnits: 100, errorMicros: 0 };
  };
  /** What a byte may be late: 1200 cycles of 32. */
  const MOST = 37.5;

  test('one is late by 34 units, which is in time: it stays as it was packed', () => {
    const { image, worstLateUnits, lateUnits } = placedInTime(song(1), MACHINE);
    expect(worstLateUnits).toBe(34);
    expect([...lateUnits.subarray(0, 3)]).toEqual([0, 34, 34]);
    expect(image.streamBytes).toBe(1 + 1 + 2);
  });

  test('two would be late by 71 and three by 108, with 3 for a level that ends before each: they are packed with fewer levels', () => {
    for (const count of [2, 3]) {
      const packed = song(count);
      const plain = readImage(makeImage(MACHINE, table, packed.parts, 100).bytes) as PlayedImage;
      expect(worstLate(plain)).toBe(16 * (34 * count + 3 * (count - 1)));
      const { played, lateUnits, worstLateUnits } = placedInTime(packed, MACHINE);
      expect([...played.bytes]).toEqual([...packed.symbols]);
      expect(worstLateUnits).toBeGreaterThan(0);
      expect(worstLateUnits).toBeLessThanOrEqual(MOST);
      expect(Math.max(...lateUnits)).toBe(worstLateUnits);
    }
  });

  test('what is in time already is larger: where it does not fit, the smaller stays, late as it is', () => {
    const packed = song(3);
    const plain = makeImage(MACHINE, table, packed.parts, 100);
    const { deepest } = readImage(plain.bytes) as PlayedImage;
    const room = memoryBytesOf('z80', plain.bytes.length, stackBytesOf('z80', deepest));
    const within = (bytes: number) => placedInTime(packed, { ...MACHINE, to: MACHINE.from + bytes });
    const takes = ({ image, played }: ReturnType<typeof within>) =>
      memoryBytesOf('z80', image.bytes.length, stackBytesOf('z80', played.deepest));
    const free = within(0x1000);
    // A song that does not fit at all may grow as little as one that just fits.
    for (const bytes of [room, room - 20]) {
      expect(takes(within(bytes))).toBeLessThanOrEqual(room);
      expect(within(bytes).worstLateUnits).toBeGreaterThanOrEqual(free.worstLateUnits);
    }
    expect(within(takes(free)).worstLateUnits).toBe(free.worstLateUnits);
  });
});
