import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { PreciseWait } from '../../../src/engine/clock/precise-wait.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';

/** What is still to come when it stops sleeping: it looks at the clock from then on. */
const SPIN = 150;
const LONGEST_MS = 250;

/** Time that only looking at the clock, sleeping and rehearsing take. */
class Time {
  now = 0;
  looks = 0;
  lookMicros = 1;
  /** How much later than asked a sleeper wakes. */
  lateMicros = 0;
  /** Each sleep: asked for in milliseconds, and what was still to come. */
  readonly sleeps: { readonly ms: number; readonly left: number }[] = [];
  readonly until = new Float64Array(1);

  read(into: Float64Array): void {
    if (this.looks > 0) this.now += this.lookMicros;
    this.looks += 1;
    into[0] = this.now;
  }

  sleep(ms: number): void {
    this.sleeps.push({ ms, left: this.until[0]! - this.now });
    this.now += ms * 1000 + this.lateMicros;
  }
}

let time: Time;
let ring: CommandRing;
let spy: { mockRestore(): void };
beforeEach(() => {
  time = new Time();
  ring = new CommandRing();
  spy = vi.spyOn(Atomics, 'wait').mockImplementation(((
    _cells: Int32Array,
    _at: number,
    _seen: number,
    ms: number,
  ) => {
    expect(typeof ms).toBe('number');
    time.sleep(ms);
    return 'timed-out';
  }) as typeof Atomics.wait);
});
afterEach(() => spy.mockRestore());

const waitUntil = (wait: PreciseWait, micros: number): boolean => {
  time.until[0] = micros;
  time.sleeps.length = 0;
  time.looks = 0;
  return wait.wait(time.until, ring.signal());
};

describe('a moment that is waited for', () => {
  test('is never met early, never slept over, and little is spent on looking', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.nat(400), fc.nat(9000), fc.nat(400_000)), { minLength: 1, maxLength: 12 }),
        fc.constantFrom(0.25, 1, 3),
        fc.nat(60),
        (distances, lookMicros, lateMicros) => {
          Object.assign(time, { lookMicros, lateMicros });
          const wait = new PreciseWait(ring, time);
          for (const distance of distances) {
            const moment = time.now + distance;
            const came = waitUntil(wait, moment);
            for (const { ms, left } of time.sleeps) {
              expect(ms).toBeLessThanOrEqual(LONGEST_MS);
              expect(ms * 1000).toBeLessThan(left - SPIN + 0.01);
              const short = left - SPIN - ms * 1000;
              expect(short).toBeLessThan(ms === LONGEST_MS ? Infinity : left - SPIN < 8000 ? 25 : 1000);
            }
            if (!came) {
              expect(distance - SPIN).toBeGreaterThanOrEqual(LONGEST_MS * 1000);
              expect(time.sleeps.map(({ ms }) => ms)).toEqual([LONGEST_MS]);
              continue;
            }
            expect(distance - SPIN).toBeLessThan(LONGEST_MS * 1000);
            expect(time.now).toBeGreaterThanOrEqual(moment);
            expect(time.now).toBeLessThan(moment + lookMicros + 0.01);
          }
        },
      ),
    );
  });

  test.each([
    ['past', -1, true, []],
    ['now', 0, true, []],
    ['half a microsecond away', 0.5, true, []],
    ['so near that nothing is slept', SPIN + 24, true, []],
    ['a step of the table away', SPIN + 25, true, [0.025001]],
    ['at the end of the table', SPIN + 8000, true, [8]],
    ['as far as one sleeps at once', SPIN + 250_000, false, [250]],
    ['nowhere', Number.POSITIVE_INFINITY, false, [250]],
  ])('%s', (_, distance, came, slept) => {
    expect(waitUntil(new PreciseWait(ring, time), distance)).toBe(came);
    expect(time.now).toBeGreaterThanOrEqual(came ? distance : 250_000);
    expect(time.sleeps.map(({ ms }) => Math.round(ms * 1e6) / 1e6)).toEqual(slept);
  });

  test('is not waited for when somebody woke us, asleep or looking', () => {
    const wait = new PreciseWait(ring, time);
    time.until[0] = 5000;
    expect(wait.wait(time.until, ring.signal() - 1)).toBe(false);
    expect(time.sleeps).toEqual([]);
    const seen = ring.signal();
    time.until[0] = time.now + 100;
    const read = time.read.bind(time);
    time.read = (into) => {
      read(into);
      if (time.now > 50) ring.wake();
    };
    expect(wait.wait(time.until, seen)).toBe(false);
    expect(time.now).toBeLessThan(100);
  });
});

describe('a rehearsal', () => {
  /** How much was to come when it began; each takes so long. */
  const begun: number[] = [];
  let takes = 0;
  const rehearsal = {
    next() {
      begun.push(time.until[0]! - time.now);
      time.now += takes;
    },
  };
  beforeEach(() => {
    begun.length = 0;
  });

  test('begins as much earlier as it takes, on the slow side, but never absurdly early', () => {
    const wait = new PreciseWait(ring, time, rehearsal);
    const early = (micros: number) => {
      expect(waitUntil(wait, time.now + 20_000)).toBe(true);
      const at = begun.pop()!;
      expect(at).toBeGreaterThan(SPIN + micros - 2);
      expect(at).toBeLessThan(SPIN + micros + 25);
      expect(begun).toEqual([]);
    };
    takes = 400;
    early(150); // as long as it looks, before it is known
    takes = 10;
    early(401); // what it took, with the look at the clock behind it
    early(401 * 0.95); // it forgets slowly
    takes = 5000;
    early(401 * 0.95 ** 2);
    takes = 10;
    early(1000);
  });

  test('is for sleeps of two milliseconds and more', () => {
    const wait = new PreciseWait(ring, time, rehearsal);
    expect(waitUntil(wait, 1999)).toBe(true);
    expect(begun).toEqual([]);
    expect(waitUntil(wait, time.now + 2000)).toBe(true);
    expect(begun.length).toBe(1);
  });

  test('is left out where one wakes too late for it', () => {
    time.lateMicros = 200;
    const wait = new PreciseWait(ring, time, rehearsal);
    expect(waitUntil(wait, 20_000)).toBe(true);
    expect(begun).toEqual([]);
  });
});
