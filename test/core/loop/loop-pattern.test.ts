import { describe, expect, test } from 'vitest';
import { loopPattern, plannedMicros } from '../../../src/core/loop/loop-pattern.ts';
import type { LoopPlan } from '../../../src/core/loop/loop-plan.ts';
import { StreamParser } from '../../../src/core/midi/stream-parser.ts';
import { classifySysEx } from '../../../src/core/midi/universal-sysex.ts';
import { WireReader } from '../../support/wire-reader.ts';

const PLANS: readonly LoopPlan[] = [false, true].flatMap((quiet) =>
  [false, true].map((whole) => ({ quiet, whole, rounds: 2 })),
);
const named = PLANS.map((plan) => [JSON.stringify(plan), plan] as const);

describe.each(named)('the pattern %s', (_name, plan) => {
  const pattern = loopPattern(plan);

  test('has every byte value but those that were asked to be left out', () => {
    const values = new Set(pattern.bytes);
    const missing = Array.from({ length: 256 }, (_, value) => value).filter((value) => !values.has(value));
    const loud = [...Array.from({ length: 16 }, (_, channel) => 0x90 | channel), 0xfa, 0xfb];
    const unpassable = [0xf4, 0xf5, 0xf9, 0xfd];
    expect(missing).toEqual(
      [...(plan.quiet ? loud : []), ...(plan.whole ? unpassable : [])].sort((a, b) => a - b),
    );
  });

  test('is legal, lets every note go, and leaves everything at rest', () => {
    const reader = new WireReader();
    reader.read(pattern.bytes);
    expect(reader.sounding).toBe(0);
    expect(reader.unrestful).toEqual([]);
    const faults: number[] = [];
    const sysEx: string[] = [];
    const parser = new StreamParser({
      message() {},
      sysEx: (bytes, length) => void sysEx.push(classifySysEx(bytes, 0, length).kind),
      fault: (_kind, _offset, _count, byte) => void faults.push(byte),
    });
    parser.feed(pattern.bytes);
    parser.finish();
    expect(faults).toEqual(plan.whole ? [] : [0xf4, 0xf5, 0xf9, 0xfd, 0xf4, 0xf5, 0xf9, 0xfd]);
    expect(sysEx).not.toContain('gm-on');
    if (plan.quiet) expect(reader.noteOns).toEqual([]);
    else expect(Math.max(...reader.noteOns.map(({ velocity }) => velocity))).toBeLessThan(32);
  });

  test('is the same each time, another each round, and takes some seconds', () => {
    expect(loopPattern(plan).bytes).toEqual(pattern.bytes);
    const half = pattern.bytes.length / 2;
    expect(pattern.bytes.subarray(0, half)).not.toEqual(pattern.bytes.subarray(half));
    expect(plannedMicros(pattern, 320).at(-1)! / 2e6).toBeGreaterThan(1.5);
    expect(plannedMicros(pattern, 320).at(-1)! / 2e6).toBeLessThan(4);
  });

  test('hands an interface that encodes for itself whole messages only', () => {
    if (!plan.whole) return;
    let isOpen = false;
    for (const { bytes } of pattern.steps) {
      const first = bytes[0]!;
      if (first >= 0xf8) continue;
      expect(first >= 0x80 && first !== 0xf7).toBe(!isOpen || first === 0xf7);
      if (first === 0xf0) isOpen = true;
      if (bytes.at(-1) === 0xf7) isOpen = false;
    }
  });
});
