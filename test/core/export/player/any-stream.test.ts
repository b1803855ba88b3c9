import fc from 'fast-check';
import { expect, test } from 'vitest';
import { runImage } from '../../../../src/board/verify-song.ts';
import { UNIT_PARTS } from '../../../../src/core/export/player/image.ts';
import { makeImage } from '../../../../src/core/export/player/make-image.ts';
import { type PlayerMachine, stackBytesOf } from '../../../../src/core/export/player/player-machine.ts';
import { type PlayedImage, readImage } from '../../../../src/core/export/player/read-image.ts';
import { codeBytes, codeTable } from '../../../../src/core/export/stream/code-table.ts';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { DEEPEST, GrowingParts } from '../../../../src/core/export/stream/stream-parts.ts';

const Z80: PlayerMachine = {
  cpu: 'z80',
  clockHz: 4_000_000,
  from: 0x41c7,
  to: 0xf000,
  out: 0x10,
  repeat: false,
};
const M6502: PlayerMachine = {
  ...Z80,
  cpu: '6502',
  clockHz: 1_000_000,
  out: 0xf810,
  zeroPage: 0xe0,
};
const wait = (steps: number) => SongSymbol.wait + steps;
const DATA = [0, 1, 60, 64, 127];
const PAIRS = [
  [60, 64],
  [0x90, 60],
  [wait(1), 0x91],
  [SongSymbol.pair, SongSymbol.pair + 1],
  [SongSymbol.pair + 3, SongSymbol.pair + 3],
] as const;
const TABLE = codeTable([1, 2, 12], [0x90, 0x91], PAIRS);
const CODING = codingOf(TABLE);
/** A byte's time at either clock. */
const SLOT = 41;

/** What a packer might write, though none of ours would: as many levels between two bytes as the stack holds. */
const made = fc.oneof(
  { weight: 3, arbitrary: fc.constantFrom(...DATA, 0x90, 0x91, 0xb3).map((symbol) => ({ symbol })) },
  { weight: 1, arbitrary: fc.constantFrom(1, 2, 12, 3, 40, 255).map((n) => ({ symbol: wait(n) })) },
  { weight: 2, arbitrary: fc.nat(PAIRS.length - 1).map((pair) => ({ symbol: SongSymbol.pair + pair })) },
  {
    weight: 4,
    arbitrary: fc.record({
      back: fc.nat(300),
      count: fc.oneof(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 2, max: 20 })),
    }),
  },
);

/** The parts, and the bytes they stand for. What would be too deep, or too long for the test, is left out. */
function partsOf(
  choices: readonly (typeof made extends fc.Arbitrary<infer One> ? One : never)[],
  stepUnits: number,
) {
  const parts = new GrowingParts(2 * choices.length);
  const bytes: number[][] = [];
  let total = 0;
  let owed = 0;
  let steps = 0;
  for (const choice of choices) {
    if ('symbol' in choice) {
      const { symbol } = choice;
      if (symbol >= SongSymbol.pair) parts.phrase(CODING.phraseOf(symbol));
      else parts.literal(symbol, codeBytes(TABLE, symbol).length);
      const plain = symbol >= SongSymbol.pair ? CODING.phraseOf(symbol).symbols : [symbol];
      bytes.push([...plain]);
    } else {
      const source = Math.max(0, parts.count - 2 - choice.back);
      const count = Math.min(choice.count, parts.count - source);
      if (count < 1) continue;
      const own = bytes.slice(source, source + count).flat();
      if (parts.depth.subarray(source, source + count).some((deep) => deep >= DEEPEST - 1)) continue;
      if (own.length > 400) continue;
      parts.reference(source, count);
      bytes.push(own);
    }
    for (const one of bytes.at(-1)!)
      owed = Math.max(0, owed + (one < SongSymbol.wait ? SLOT : -(one - SongSymbol.wait) * stepUnits));
    total += bytes.at(-1)!.length;
    steps += bytes.at(-1)!.filter((one) => one >= SongSymbol.wait).length;
    // A packer cuts a burst by a wait before a player's sixteen bits are full.
    if (owed > 14_000) {
      const cut = wait(Math.min(255, Math.ceil(owed / stepUnits)));
      parts.literal(cut, codeBytes(TABLE, cut).length);
      bytes.push([cut]);
      owed = 0;
    }
    if (total > 6_000 || steps > 600) break;
  }
  return { parts, bytes: bytes.flat().filter((symbol) => symbol < 0x100) };
}

const bit = (plain: PlayerMachine, at: number, isLow: boolean) => ({
  at: plain.cpu === 'z80' ? at : 0xf800 + at,
  mask: 1,
  isLow,
});

// Some streams each time, so that a case is a matter of a second.
test.each(
  [1, 2, 3, 4, 5, 6].flatMap((seed): [string, PlayerMachine, number][] => [
    ['Z80', Z80, seed],
    ['6502', M6502, seed],
  ]),
)('%s: whatever a stream holds, every byte leaves at the cycle the account says', async (_, plain, seed) => {
  await fc.assert(
    fc.asyncProperty(
      fc.array(made, { minLength: 20, maxLength: 250 }),
      fc.integer({ min: 64 * UNIT_PARTS, max: 800 * UNIT_PARTS }).map((parts) => parts / UNIT_PARTS),
      fc.boolean(),
      fc.constantFrom('none', 'high', 'low'),
      async (choices, stepUnits, canStop, ready) => {
        const { parts, bytes } = partsOf(choices, stepUnits);
        if (bytes.length === 0) return;
        const machine = {
          ...plain,
          ...(canStop && { stop: bit(plain, 0x12, false) }),
          ...(ready !== 'none' && { ready: bit(plain, 0x11, ready === 'low') }),
        };
        const image = makeImage(machine, TABLE, parts, stepUnits);
        const played = readImage(image.bytes) as PlayedImage;
        expect([...played.bytes]).toEqual(bytes);
        const song = { image, stackBytes: stackBytesOf(machine.cpu, played.deepest) };
        const run = (await runImage(song, machine, { mostBytes: 1e5, mostCycles: 1e10 }))!;
        expect(run).toMatchObject({ returned: true, strayReads: 0, strayWrites: 0 });
        expect([...run.bytes]).toEqual(bytes);
        const unitCycles = machine.clockHz / played.unitsPerSecond;
        const off = [...run.cycles].map(
          (cycle, at) => cycle - run.cycles[0]! - (played.sentUnits[at]! - played.sentUnits[0]!) * unitCycles,
        );
        expect(off.filter((one) => one !== 0)).toEqual([]);
      },
    ),
    { numRuns: 4, seed },
  );
});

test('6502: whatever its register holds, 0 among it, where a status byte or a long reference comes', async () => {
  // A burst whose steps are all gone through before the next byte; what they cost is swept through, past 255.
  // At 4 MHz a byte is a slot of 162 units, so that few bytes make it.
  const machine = { ...M6502, clockHz: 4_000_000 };
  const burst = 28;
  const stepUnits = 64;
  const parts = new GrowingParts(5_000);
  const bytes: number[] = [];
  const literal = (symbol: number) => {
    parts.literal(symbol, codeBytes(TABLE, symbol).length);
    if (symbol < 0x100) bytes.push(symbol);
  };
  const reference = () => {
    parts.reference(0, burst);
    bytes.push(...bytes.slice(0, burst));
  };
  for (let at = 0; at < burst; at += 1) literal(64);
  for (let steps = 1; steps <= 45; steps += 1)
    for (let more = 0; more < 6; more += 1)
      for (const next of ['status', 'reference'] as const) {
        reference();
        // A wait without a code of its own costs 13 + 6 n, so that every number is met.
        for (let count = 0; count < more; count += 1) literal(wait(3));
        literal(wait(steps));
        if (next === 'status') literal(0x90);
        else reference();
        // The grid is behind both bursts again.
        literal(wait(150));
      }
  const image = makeImage(machine, TABLE, parts, stepUnits);
  const played = readImage(image.bytes) as PlayedImage;
  const song = { image, stackBytes: stackBytesOf('6502', played.deepest) };
  const run = (await runImage(song, machine, { mostBytes: 1e6, mostCycles: 1e10 }))!;
  expect(run).toMatchObject({ returned: true, strayReads: 0, strayWrites: 0 });
  expect(Buffer.compare(run.bytes, Uint8Array.from(bytes))).toBe(0);
  const unitCycles = machine.clockHz / played.unitsPerSecond;
  const off = [...run.cycles].map(
    (cycle, at) => cycle - run.cycles[0]! - (played.sentUnits[at]! - played.sentUnits[0]!) * unitCycles,
  );
  expect(off.filter((one) => one !== 0)).toEqual([]);
});

test.each<[string, PlayerMachine, number[]]>([
  // A burst of two or three bytes is paid by one step exactly; an account is near 256 units.
  ['Z80', Z80, [2 * SLOT, 3 * SLOT, 64, 101, 255, 256, 257, 258, 259, 260, 261, 262]],
  // The grid is near 256 units away, or near nothing.
  ['6502', M6502, [2 * SLOT, 3 * SLOT, 64, 101, 255, 256, 257, 258, 259, 260]],
])(
  '%s: a step that is over as a byte is due, and one that is far, and what takes longer than a byte',
  async (_, machine, steps) => {
    const chain = Array.from({ length: 8 }, (_, n) => [n === 0 ? 60 : SongSymbol.pair + n - 1, 64] as const);
    const table = codeTable([1, 2, 3], [], chain);
    const deep = codingOf(table).phraseOf(SongSymbol.pair + 7);
    for (const stepUnits of steps) {
      const parts = new GrowingParts(500);
      const bytes: number[] = [];
      for (let waits = 1; waits <= 3; waits += 1)
        for (let burst = 1; burst <= 4; burst += 1)
          for (const isDeep of [true, false]) {
            for (let byte = 0; byte < burst; byte += 1) parts.literal(1, 1);
            parts.literal(wait(waits), 1);
            if (isDeep) parts.phrase(deep);
            else parts.literal(2, 1);
            parts.literal(wait(3), 1);
            bytes.push(...Array.from({ length: burst }, () => 1), ...(isDeep ? deep.symbols : [2]));
          }
      const image = makeImage(machine, table, parts, stepUnits);
      const played = readImage(image.bytes) as PlayedImage;
      const song = { image, stackBytes: stackBytesOf(machine.cpu, played.deepest) };
      const run = (await runImage(song, machine, { mostBytes: 1e5, mostCycles: 1e9 }))!;
      expect([...run.bytes]).toEqual(bytes);
      const unitCycles = machine.clockHz / played.unitsPerSecond;
      const at = [...run.cycles].map((cycle) => (cycle - run.cycles[0]!) / unitCycles);
      expect([stepUnits, at]).toEqual([
        stepUnits,
        [...played.sentUnits].map((sent) => sent - played.sentUnits[0]!),
      ]);
    }
  },
);
