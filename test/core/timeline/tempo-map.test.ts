import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Division, SmpteRate } from '../../../src/core/smf/song.ts';
import { tempoMapOf } from '../../../src/core/timeline/tempo-map.ts';

const quarter = (ticksPerQuarter: number): Division => ({ kind: 'quarter', ticksPerQuarter });
const smpte = (framesPerSecond: SmpteRate, ticksPerFrame: number): Division => ({
  kind: 'smpte',
  framesPerSecond,
  ticksPerFrame,
});

describe('SMPTE ticks: micros = tick × 1,000,000 / (frames a second × ticks a frame); 29 is 30000/1001', () => {
  test.each([
    // frames, ticks a frame, tick, µs by hand
    [30, 80, 2400, 1_000_000], // E250, published in SMF 1.1, section 2.1: 30 fps, bit resolution 80
    [25, 40, 1, 1_000], // E728: millisecond ticks, published there too
    [25, 40, 3_600_000_000, 3_600_000_000_000],
    [24, 4, 96, 1_000_000],
    [24, 7, 1, 5_952], // 1e6 / 168 = 5952.38
    [29, 80, 3504, 1_461_460], // 3504 × 1001 / (30000 × 80) s = 1.46146 s
    [29, 100, 3_000_000, 1_001_000_000], // 30,000 frames last 1001 s
    [29, 2, 1, 16_683], // 1001/60000 s = 16,683.33 µs
  ] as const)('%i fps × %i: tick %i is at %i µs', (frames, ticksPerFrame, tick, micros) => {
    expect(tempoMapOf(smpte(frames, ticksPerFrame), []).microsAt(tick)).toBe(micros);
  });

  test('tempo events have no effect', () => {
    const map = tempoMapOf(smpte(25, 40), [{ tick: 0, microsPerQuarter: 1 }]);
    expect(map.microsAt(1000)).toBe(1_000_000);
    expect(map.stretches.map(({ microsPerQuarter }) => microsPerQuarter)).toEqual([500_000]);
    expect(tempoMapOf(smpte(29, 40), []).stretches[0]?.microsPerQuarter).toBe(500_500);
  });
});

describe('quarter notes', () => {
  test('120 a minute until the song says otherwise (SMF 1.1, section 2.2)', () => {
    expect(tempoMapOf(quarter(96), []).microsAt(384)).toBe(2_000_000);
    expect(tempoMapOf(quarter(96), [{ tick: 96, microsPerQuarter: 250_000 }]).microsAt(192)).toBe(750_000);
  });

  test('of several tempos at one tick the last counts', () => {
    const changes = [
      { tick: 0, microsPerQuarter: 1 },
      { tick: 0, microsPerQuarter: 300_000 },
    ];
    const map = tempoMapOf(quarter(3), changes);
    expect(map.microsAt(1)).toBe(100_000);
    expect(map.stretches).toHaveLength(1);
  });

  test('rounds half up, once', () => {
    const map = tempoMapOf(quarter(2), [{ tick: 0, microsPerQuarter: 1 }]);
    expect([0, 1, 2, 3, 4, 5].map(map.microsAt)).toEqual([0, 1, 1, 2, 2, 3]);
  });

  test('fractions of a tick', () => {
    const map = tempoMapOf(quarter(5), [{ tick: 5, microsPerQuarter: 1_000_000 }]);
    expect(map.microsAtFraction(5 * 25, 24)).toBe(541_667); // 500,000 + (125/24 − 5) × 200,000 = 541,666.67
  });
});

/** Exact song time in units of 1/(2·per) µs by BigInt, walking every change; rounded half up at the end. */
function referenceMicros(per: number, changes: readonly (readonly [number, number])[], tick: number): bigint {
  let total = 0n;
  let at = 0;
  let rate = 500_000;
  for (const [start, micros] of changes) {
    if (start >= tick) break;
    total += BigInt(start - at) * BigInt(rate);
    at = start;
    rate = micros;
  }
  total += BigInt(tick - at) * BigInt(rate);
  return (2n * total + BigInt(per)) / (2n * BigInt(per));
}

const changesArbitrary = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 0xffff_ffff }), fc.integer({ min: 1, max: 0xff_ffff })), {
    maxLength: 20,
  })
  .map((list) => list.sort(([a], [b]) => a - b).filter(([tick], index) => list[index + 1]?.[0] !== tick));

const mapOver = (per: number, changes: readonly (readonly [number, number])[]) =>
  tempoMapOf(
    quarter(per),
    changes.map(([tick, microsPerQuarter]) => ({ tick, microsPerQuarter })),
  );

describe('properties', () => {
  const per = fc.integer({ min: 1, max: 32_767 });
  const tick = fc.integer({ min: 0, max: 0xffff_ffff });

  test('microsAt and fillMicros are the BigInt reference, for any ticks and tempos', () => {
    fc.assert(
      fc.property(
        per,
        changesArbitrary,
        fc.array(tick, { minLength: 1, maxLength: 20 }),
        (division, changes, ticks) => {
          const map = mapOver(division, changes);
          const sorted = Uint32Array.from(ticks).sort();
          const filled = new Float64Array(sorted.length);
          const middle = sorted.length >> 1;
          map.fillMicros(sorted, filled, middle, sorted.length);
          expect(filled.subarray(0, middle).every((micros) => micros === 0)).toBe(true);
          map.fillMicros(sorted, filled, 0, middle);
          map.fillMicros(sorted, filled, middle, middle);
          for (const [row, when] of sorted.entries()) {
            const exact = Number(referenceMicros(division, changes, when)); // beyond 2⁵³ rounded like any double
            expect(Math.abs(map.microsAt(when) - exact)).toBeLessThanOrEqual(
              exact > 2 ** 53 ? exact * 2 ** -50 : 0,
            );
            expect(filled[row]).toBe(map.microsAt(when));
          }
          for (const stretch of map.stretches) expect(stretch.micros).toBe(map.microsAt(stretch.tick));
        },
      ),
      { numRuns: 300 },
    );
  });

  test('time never goes backwards, and tickAt undoes microsAt to half a microsecond', () => {
    fc.assert(
      fc.property(per, changesArbitrary, tick, tick, (division, changes, a, b) => {
        const map = mapOver(division, changes);
        const [early, late] = a < b ? [a, b] : [b, a];
        expect(map.microsAt(early)).toBeLessThanOrEqual(map.microsAt(late));
        const micros = map.microsAt(early);
        fc.pre(micros < 2 ** 50);
        // The way back may be off by what half a microsecond is worth at the fastest neighbouring tempo.
        const fastest = Math.min(500_000, ...changes.map(([, microsPerQuarter]) => microsPerQuarter));
        expect(Math.abs(map.tickAt(micros) - early)).toBeLessThanOrEqual((0.51 * division) / fastest + 1e-3);
      }),
      { numRuns: 300 },
    );
  });

  test('100,000 tempo changes over 100 hours and more: exact at the end, no drift', () => {
    const changes = Array.from({ length: 100_000 }, (_, index) => {
      const microsPerQuarter = 300_007 + ((index * 7919) % 600_011);
      return [index * 1_999 + (index % 7), microsPerQuarter] as const;
    });
    const map = mapOver(251, changes);
    const last = 100_000 * 1_999 + 12_345;
    const micros = map.microsAt(last);
    expect(BigInt(micros)).toBe(referenceMicros(251, changes, last));
    expect(micros).toBeGreaterThan(100 * 3600 * 1e6);
    expect(map.stretchAt(micros).tick).toBe(changes.at(-1)![0]);
  });
});
