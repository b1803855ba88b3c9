import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  makeImage,
  type PlayerImage,
  unlessTooLarge,
} from '../../../../src/core/export/player/make-image.ts';
import type { PlayerMachine } from '../../../../src/core/export/player/player-machine.ts';
import { type PlayedImage, readImage } from '../../../../src/core/export/player/read-image.ts';
import { type CodeTable, codeTable } from '../../../../src/core/export/stream/code-table.ts';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { levelLimits } from '../../../../src/core/export/stream/level-limits.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { GrowingParts } from '../../../../src/core/export/stream/stream-parts.ts';
import { grown, partsPicked } from '../stream/plain-stream.ts';
import { picks, pieces, TABLE } from '../stream/song-of-pieces.ts';
import { M6502, Z80 } from './machines.ts';
import { headOf, playPlainly } from './plain-image.ts';

const CODING = codingOf(TABLE);
const bit = { at: 0x12, mask: 2, isLow: false };
const low = { ...bit, isLow: true };

const machine = fc
  .record({
    plain: fc.constantFrom(Z80, M6502),
    from: fc.integer({ min: 0x100, max: 0xe000 }),
    clockHz: fc.constantFrom(1_000_000, 1_789_773, 4_000_000),
    repeat: fc.boolean(),
    ready: fc.constantFrom(undefined, bit, low),
    stop: fc.constantFrom(undefined, bit, low),
  })
  .map(
    ({ plain, from, clockHz, repeat, ready, stop }): PlayerMachine => ({
      ...plain,
      from,
      clockHz: plain.cpu === '6502' ? Math.min(clockHz, 1_789_773) : clockHz,
      repeat,
      ...(ready && { ready }),
      ...(stop && { stop }),
    }),
  );

test('an image is what docs/stream.md says, and plays the song: by the document, and by the reader', () => {
  fc.assert(
    fc.property(
      machine,
      pieces(40),
      picks,
      fc.integer({ min: 64 * 256, max: 700 * 256 }).map((parts) => parts / 256),
      (machine, song, picked, stepUnits) => {
        const parts = grown(partsPicked(song, TABLE, levelLimits(song.length, 9), picked), CODING);
        const image = makeImage(machine, TABLE, parts, stepUnits);
        const { bytes } = image;
        const head = headOf(bytes);
        const unitCycles = machine.cpu === 'z80' ? 32 : 8;
        expect(head).toMatchObject({
          mark: 'ws',
          version: 3,
          length: bytes.length,
          isWhole: true,
          firstStatus: TABLE.firstStatus,
          firstPair: TABLE.firstPair,
          firstReference: 0xe0,
          unitsPerSecond: Math.round(machine.clockHz / unitCycles),
          stepParts: stepUnits * 256,
          loadAddress: machine.from,
          flags:
            (machine.repeat ? 1 : 0) +
            (machine.ready === undefined ? 0 : machine.ready.isLow ? 4 : 2) +
            (machine.stop === undefined ? 0 : 8),
        });
        expect(head.jump[0]).toBe(machine.cpu === 'z80' ? 0xc3 : 0x4c);
        expect(head.jump[1]).toBeGreaterThanOrEqual(image.codeAddress);
        expect(head.jump[1]).toBeLessThan(image.codeEnd);
        const plain = playPlainly(bytes);
        expect(plain.bytes).toEqual(song.filter((symbol) => symbol < 0x100));
        expect(plain.dueUnits).toEqual(dueUnitsOf(song, head.slotUnits, stepUnits));
        const read = readImage(bytes) as PlayedImage;
        expect([...read.bytes]).toEqual(plain.bytes);
        expect([...read.dueUnits]).toEqual(plain.dueUnits);
        expect(read).toMatchObject({
          deepest: plain.deepest,
          unitsPerSecond: head.unitsPerSecond,
          slotUnits: head.slotUnits,
        });
        expect(image).toMatchObject({
          loadAddress: machine.from,
          startAddress: machine.from,
          codeAddress: machine.from + 31,
          repeats: machine.repeat,
          streamBytes: parts.offset[parts.count]! + 2,
          playerBytes: bytes.length - image.streamBytes,
        });
        expectPlaces(image);
        expectNames(image);
      },
    ),
    { numRuns: 40, seed: 5 },
  );
});

/** A byte at its step of the grid, or a slot after the one before; the grid begins a slot behind the start. */
function dueUnitsOf(song: readonly number[], slot: number, stepUnits: number): number[] {
  let [steps, free] = [0, slot];
  return song.flatMap((symbol) => {
    if (symbol >= SongSymbol.wait) {
      steps += symbol - SongSymbol.wait;
      return [];
    }
    const due = Math.max(free, slot + Math.floor(steps * stepUnits));
    free = due + slot;
    return [due];
  });
}

/** The code is assembled with what the head says: a code's place in a table is found by adding the code to a low byte. */
function expectNames({ bytes, symbols: named }: PlayerImage): void {
  const head = headOf(bytes);
  const [step, part] = [head.stepParts >> 8, head.stepParts & 0xff];
  const low = (address: number, first: number) => (address - first) & 0xff;
  expect(named).toMatchObject({
    STATUS: head.firstStatus,
    PAIR: head.firstPair,
    REF: head.firstReference,
    LONG: head.firstReference + 7,
    NEAR: head.firstReference + 8,
    STEP_PART: part,
    PAIRS_HIGH: head.pairs >> 8,
  });
  if (head.jump[0] === 0xc3)
    expect(named).toMatchObject({
      STREAM: head.stream,
      STEP: step,
      WAITS_LOW: low(head.waits, 0x82),
      WAITS_HIGH: head.waits >> 8,
      STATUSES_LOW: low(head.statuses, head.firstStatus),
      STATUSES_HIGH: head.statuses >> 8,
      PAIRS_LOW: low(head.pairs, 2 * head.firstPair),
    });
  else
    expect(named).toMatchObject({
      STREAM_LOW: head.stream & 0xff,
      STREAM_HIGH: head.stream >> 8,
      STEP_LOW: step & 0xff,
      STEP_HIGH: step >> 8,
      WAITS: head.waits,
      STATUSES: head.statuses,
      PAIRS_LOW: head.pairs & 0xff,
    });
}

/** Code, tables and stream do not lie over one another, nothing is behind them, and no table crosses a page. */
function expectPlaces({ bytes, loadAddress, codeEnd, streamBytes }: PlayerImage): void {
  const { waits, statuses, pairs, stream } = headOf(bytes);
  const tables = [
    [waits, TABLE.waits.length],
    [statuses, TABLE.statuses.length],
    [pairs, 2 * TABLE.pairs.length],
  ] as const;
  for (const [at, length] of tables) expect(at >> 8).toBe((at + length - 1) >> 8);
  const all = [...tables, [stream, streamBytes] as const].sort((a, b) => a[0] - b[0]);
  let end = codeEnd;
  for (const [at, length] of all) {
    expect(at).toBeGreaterThanOrEqual(end);
    end = at + length;
  }
  expect(end).toBe(loadAddress + bytes.length);
}

function literals(...symbols: number[]): GrowingParts {
  const coding = codingOf(codeTable([], [], []));
  const parts = new GrowingParts(symbols.length);
  for (const symbol of symbols) parts.literal(symbol, coding.bytesOf(symbol));
  return parts;
}

describe('where things lie', () => {
  /** An image whose code ends so many bytes before the next page, and the room in it that nothing is in. */
  const wastedWith = (free: number, table: CodeTable, parts: GrowingParts) => {
    const at = (from: number) => makeImage({ ...Z80, from }, table, parts, 100);
    const { codeEnd } = at(0x4000);
    const image = at(0x4000 + ((0x1_0000 - codeEnd - free) & 0xff));
    expect((image.codeEnd + free) & 0xff).toBe(0);
    const held = image.streamBytes + table.waits.length + table.statuses.length + 2 * table.pairs.length;
    return image.loadAddress + image.bytes.length - image.codeEnd - held;
  };
  const waits = (count: number) => Array.from({ length: count }, (_, n) => n + 1);

  test('in the order that wastes no room, wherever a page ends', () => {
    const table = codeTable(waits(30), [0x90, 0x91, 0x92, 0x93, 0x94, 0x95, 0x96, 0x97], [[1, 2]]);
    const parts = literals(...Array.from({ length: 50 }, (_, n) => n));
    for (const free of [1, 2, 3, 8, 9, 10, 11, 29, 30, 31, 39, 40, 41, 92, 93, 255, 256])
      expect([free, wastedWith(free, table, parts)]).toEqual([free, 0]);
  });

  test('a table that cannot but cross a page waits for the next, three bytes of stream before it', () => {
    const table = codeTable(waits(60), [], []);
    for (const free of [1, 2, 3, 4, 5, 30, 58, 59, 60, 61, 256])
      expect([free, wastedWith(free, table, literals(1))]).toEqual([
        free,
        free < 60 && free > 3 ? free - 3 : 0,
      ]);
  });
});

describe('the end', () => {
  const fits = (from: number) =>
    unlessTooLarge(() => makeImage({ ...Z80, from }, TABLE, literals(1, 2), 100));

  test('an image up to the end of memory and not a byte further', () => {
    // Whatever gaps there are, they are known once it lies there.
    const { bytes } = fits(0x4000)!;
    const near = Array.from({ length: 0x20 }, (_, n) => 0x1_0000 - bytes.length - 0x10 + n);
    const last = near.findLast((from) => fits(from) !== undefined)!;
    const image = fits(last)!;
    expect(last + image.bytes.length).toBe(0x1_0000);
    expect(readImage(image.bytes)).toMatchObject({ bytes: Uint8Array.of(1, 2) });
    expect(() => makeImage({ ...Z80, from: last + 1 }, TABLE, literals(1, 2), 100)).toThrow(RangeError);
  });

  test('another trouble is no matter of room', () => {
    expect(unlessTooLarge(() => 5)).toBe(5);
    expect(() =>
      unlessTooLarge(() => {
        throw new TypeError('something else');
      }),
    ).toThrow('something else');
  });

  test('what a stop plays stands behind the end of the song, with an end of its own', () => {
    const parts = literals(60, 61, SongSymbol.end, 0xb0, 123, 0);
    for (const machine of [Z80, M6502]) {
      const image = makeImage({ ...machine, stop: bit }, codeTable([], [], []), parts, 100);
      expect(playPlainly(image.bytes).bytes).toEqual([60, 61]);
      const { SILENCE, SILENCE_LOW, SILENCE_HIGH } = image.symbols;
      const silence = SILENCE ?? SILENCE_LOW! + 256 * SILENCE_HIGH!;
      const { stream } = headOf(image.bytes);
      expect(silence - stream).toBe(4);
      expect(playPlainly(image.bytes, silence).bytes).toEqual([0xb0, 123, 0]);
      expect(makeImage(machine, codeTable([], [], []), literals(60), 100).symbols).toMatchObject(
        machine === Z80 ? { SILENCE: expect.any(Number) } : { SILENCE_LOW: expect.any(Number) },
      );
    }
  });
});

describe('how a player was made is in its head, for its time depends on it (z80-paths.ts)', () => {
  /** At 2 MHz a slot is 21 units. Units between two bytes with what is between them. */
  const gap = (more: Partial<PlayerMachine>, parts: GrowingParts, table: CodeTable, stepUnits: number) => {
    const machine = { ...Z80, ...more };
    const { sentUnits } = readImage(makeImage(machine, table, parts, stepUnits).bytes) as PlayedImage;
    // The first leaves a slot behind the start; the Z80 sees that a unit later.
    expect(sentUnits[0]).toBe(machine.cpu === 'z80' ? 22 : 41);
    return sentUnits[1]! - sentUnits[0]!;
  };

  test('eight pairs in one another: 48 units and 5, 2 more where it is late, and 2 where the interface is asked', () => {
    const chain = Array.from({ length: 8 }, (_, n) => [n === 0 ? 1 : SongSymbol.pair + n - 1, 2] as const);
    const table = codeTable([], [], chain);
    const parts = new GrowingParts(2);
    parts.literal(60, 1);
    parts.phrase(codingOf(table).phraseOf(SongSymbol.pair + 7));
    const gaps = [{}, { ready: bit }, { ready: low }, { stop: bit }].map((more) =>
      gap(more, parts, table, 100),
    );
    expect(gaps).toEqual([55, 57, 57, 55]);
    // A 6502: 15 a pair and 11 for the byte, 1 where they run into another page (6502-paths.ts).
    expect([131, 132]).toContain(gap(M6502, parts, table, 100));
  });

  test('255 steps of 8 units: a step costs 6 and fits; with a key that is asked 8, and it does not', () => {
    const table = codeTable([], [], []);
    const parts = literals(60, SongSymbol.wait + 255, 61);
    expect(gap({}, parts, table, 8)).toBe(255 * 8);
    // The wait is 8, two steps that pay the debt 4 + 2, then 253 of 8; 5 for the byte and 2 since it is late.
    expect(gap({ stop: bit }, parts, table, 8)).toBe(8 + 2 * 6 + 253 * 8 + 5 + 2);
  });
});
