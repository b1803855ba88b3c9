import { describe, expect, test } from 'vitest';
import {
  leastStepUnits,
  levelUnitsOf,
  longestBurstUnits,
  memoryBytesOf,
  slotUnitsOf,
  stackBytesOf,
  unitMicrosOf,
} from '../../../../src/core/export/player/player-machine.ts';

const z80 = (megahertz: number) => ({ cpu: 'z80', clockHz: 1e6 * megahertz }) as const;
const m6502 = (megahertz: number) => ({ cpu: '6502', clockHz: 1e6 * megahertz }) as const;
const ready = { at: 0x11, mask: 1, isLow: true };

describe('times', () => {
  test('a unit is 32 cycles of a Z80, 8 of a 6502', () => {
    expect([z80(4), z80(2.5), m6502(1), m6502(2)].map(unitMicrosOf)).toEqual([8, 12.8, 8, 4]);
  });

  test('a slot is the 320 µs of a byte and a hundredth more, in whole units', () => {
    // 1292.8, 646.4 and 323.2 cycles.
    expect([z80(4), z80(2), m6502(1)].map(slotUnitsOf)).toEqual([41, 21, 41]);
  });

  test('where the interface is asked, a byte and what is between asking and writing', () => {
    // 1280 + 32, 640 + 32 and 320 + 12 cycles.
    const slots = [z80(4), z80(2), m6502(1)].map((machine) => slotUnitsOf({ ...machine, ready }));
    expect(slots).toEqual([41, 21, 42]);
  });

  test('the longest burst: a Z80’s debt has 16 bits, a 6502 goes through ten steps', () => {
    expect([z80(4), m6502(1)].map((machine) => longestBurstUnits(machine, 64))).toEqual([12_000, 640]);
    expect(longestBurstUnits(m6502(1), 1200)).toBe(12_000);
    expect(longestBurstUnits(m6502(1), 1201)).toBe(12_000);
    expect(longestBurstUnits(m6502(1), 1199)).toBe(11_990);
  });

  test('the finest step: as many as a byte leaves time for, or as fine as is asked', () => {
    // 2400 / (41 − 5) and 2400 / (21 − 5).
    expect([z80(4), z80(2)].map((machine) => leastStepUnits(machine, 1e6))).toEqual([67, 150]);
    expect([67.5, 66.9, 8.9, 7.9, 0].map((limit) => leastStepUnits(z80(4), limit))).toEqual([
      67, 66, 8, 8, 8,
    ]);
    expect([0, 50, 1e6].map((limit) => leastStepUnits(m6502(1), limit))).toEqual([64, 64, 64]);
  });

  test('another level costs a pair’s path', () => {
    expect([z80(4), m6502(1)].map(levelUnitsOf)).toEqual([6, 15]);
  });
});

test('stack and memory: four bytes a level and four in the board’s memory; three a level and 21 in page 1', () => {
  expect([0, 3].map((deepest) => stackBytesOf('z80', deepest))).toEqual([4, 16]);
  expect([0, 3].map((deepest) => stackBytesOf('6502', deepest))).toEqual([21, 30]);
  expect([memoryBytesOf('z80', 1000, 16), memoryBytesOf('6502', 1000, 30)]).toEqual([1016, 1000]);
});
