import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ParameterMemory, parameterKey } from '../../../src/core/schedule/parameter-memory.ts';
import { parameterRest, REST_VALUES, UNSET } from '../../../src/core/schedule/rest-values.ts';

type Row = { msb: number; lsb: number; stale: number; steps: number };
const BLANK: Row = { msb: UNSET, lsb: UNSET, stale: 0, steps: 0 };

const key = fc
  .tuple(fc.constantFrom(0, 1, 15), fc.boolean(), fc.oneof(fc.nat(80), fc.nat(16_383)))
  .map(([channel, nonRegistered, number]) => parameterKey(channel, nonRegistered, number));
const set = fc.record({
  key,
  row: fc.record({
    msb: fc.nat(127),
    lsb: fc.nat(127),
    stale: fc.nat(1),
    steps: fc.integer({ min: -300, max: 300 }),
  }),
});
const step = fc.oneof(
  { weight: 40, arbitrary: set },
  { weight: 1, arbitrary: fc.record({ forget: fc.constantFrom(0, 1, 15) }) },
  { weight: 1, arbitrary: fc.constant('clear' as const) },
  { weight: 2, arbitrary: fc.constant('copy' as const) },
);

test('it is a map of what was touched, however many there are, and a copy is the same map', () => {
  fc.assert(
    fc.property(fc.array(step, { minLength: 60, maxLength: 200, size: 'max' }), (steps) => {
      let memory = new ParameterMemory();
      const model = new Map<number, Row>();
      const check = (): void => {
        expect(memory.count).toBe(model.size);
        for (const [at, row] of model) {
          const n = memory.find(at);
          expect(memory.key[n]).toBe(at);
          expect({
            msb: memory.msb[n],
            lsb: memory.lsb[n],
            stale: memory.stale[n],
            steps: memory.steps[n],
          }).toEqual(row);
        }
      };
      for (const one of steps) {
        if (one === 'clear') {
          memory.clear();
          model.clear();
        } else if (one === 'copy') {
          const other = new ParameterMemory();
          other.touch(parameterKey(7, false, 3));
          other.copyFrom(memory);
          memory = other;
          check();
        } else if ('forget' in one) {
          memory.forgetChannel(one.forget);
          for (const at of model.keys()) if (at >> 15 === one.forget) model.set(at, BLANK);
        } else {
          if (!model.has(one.key)) expect(memory.find(one.key)).toBe(-1);
          const n = memory.touch(one.key);
          if (!model.has(one.key)) {
            const { msb, lsb, stale, steps: held } = memory;
            expect({ msb: msb[n], lsb: lsb[n], stale: stale[n], steps: held[n] }).toEqual(BLANK);
          }
          Object.assign(memory.msb, { [n]: one.row.msb });
          Object.assign(memory.lsb, { [n]: one.row.lsb });
          Object.assign(memory.stale, { [n]: one.row.stale });
          Object.assign(memory.steps, { [n]: one.row.steps });
          model.set(one.key, one.row);
        }
      }
      check();
    }),
    { numRuns: 60 },
  );
});

test('a parameter has one key, and no two share one', () => {
  expect(
    new Set(
      [0, 1, 15].flatMap((channel) =>
        [false, true].flatMap((nrpn) => [0, 1, 16_383].map((number) => parameterKey(channel, nrpn, number))),
      ),
    ).size,
  ).toBe(18);
});

test('what a receiver rests at (General MIDI System Level 1 and 2, MIDI 1.0 p. 17)', () => {
  // Bend range two semitones, tunings in the middle, modulation depth 50 cents; others 0; any NRPN the middle.
  const rests = [0, 1, 2, 3, 4, 5, 6].map((number) => parameterRest(false, number));
  expect(rests).toEqual([2 << 7, 64 << 7, 64 << 7, 0, 0, 64, 0]);
  expect([0, 1, 5].map((number) => parameterRest(true, number))).toEqual([64 << 7, 64 << 7, 64 << 7]);
  const named: Record<number, number> = {
    7: 100,
    8: 64,
    10: 64,
    11: 127,
    91: 40,
    98: 127,
    99: 127,
    100: 127,
    101: 127,
  };
  const meant = Array.from({ length: 128 }, (_, at) => named[at] ?? (at >= 70 && at <= 79 ? 64 : 0));
  expect([...REST_VALUES]).toEqual(meant);
});
