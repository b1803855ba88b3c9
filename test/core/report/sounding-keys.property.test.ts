import fc from 'fast-check';
import { expect, test } from 'vitest';
import { SoundingKeys } from '../../../src/core/report/sounding-keys.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/**
 * Which keys of one channel sound, in words: MIDI 1.0, p. 10 and A-4 (each strike wants its note-off), p. 13–14 and the
 * table of controllers (64 damper, 66 sostenuto: only what is down when it goes down; 69 hold 2), p. 25 (120, 121,
 * 123–127). A tail is common practice, no source.
 */
class ChannelModel {
  readonly #strikes = new Map<number, number>();
  readonly #held = new Set<number>();
  readonly #caught = new Set<number>();
  #damper = false;
  #hold2 = false;
  #sostenuto = false;

  get sounding(): Set<number> {
    return new Set([...this.#strikes.keys(), ...this.#held, ...this.#caught]);
  }

  get isPedalDown(): boolean {
    return this.#damper || this.#hold2 || this.#sostenuto;
  }

  on(key: number): void {
    this.#strikes.set(key, (this.#strikes.get(key) ?? 0) + 1);
    this.#held.delete(key);
  }

  off(key: number): void {
    const left = (this.#strikes.get(key) ?? 0) - 1;
    if (left > 0) this.#strikes.set(key, left);
    else if (left === 0) this.#release(key);
  }

  control(number: number, value: number): void {
    const on = value >= 64;
    if (number === 64 || number === 69) {
      if (number === 64) this.#damper = on;
      else this.#hold2 = on;
      if (!this.#damper && !this.#hold2) this.#held.clear();
    } else if (number === 66) {
      if (on && !this.#sostenuto) for (const key of this.#strikes.keys()) this.#caught.add(key);
      if (!on) this.#caught.clear();
      this.#sostenuto = on;
    } else if (number === 120) {
      this.#strikes.clear();
      this.#held.clear();
      this.#caught.clear();
    } else if (number === 121) {
      this.#damper = this.#hold2 = this.#sostenuto = false;
      this.#held.clear();
      this.#caught.clear();
    } else if (number >= 123) for (const key of [...this.#strikes.keys()]) this.#release(key);
  }

  #release(key: number): void {
    this.#strikes.delete(key);
    if (this.#damper || this.#hold2) this.#held.add(key);
  }
}

const CHANNELS = [0, 1, 15];
const message = fc.oneof(
  {
    weight: 5,
    arbitrary: fc.record({ kind: fc.constant(0x90), a: fc.constantFrom(0, 60, 61, 127), b: fc.nat(127) }),
  },
  {
    weight: 4,
    arbitrary: fc.record({ kind: fc.constant(0x80), a: fc.constantFrom(0, 60, 61, 127), b: fc.nat(127) }),
  },
  {
    weight: 3,
    arbitrary: fc.record({
      kind: fc.constant(0xb0),
      a: fc.constantFrom(64, 66, 69, 64, 66, 69, 65, 67, 120, 121, 122, 123, 124, 127),
      b: fc.constantFrom(0, 63, 64, 127),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constantFrom(0xa0, 0xc0, 0xd0, 0xe0), a: fc.nat(127), b: fc.nat(127) }),
  },
);
const step = fc.tuple(fc.constantFrom(...CHANNELS), message, fc.nat(3));
const TAIL = 5000;

test.each([
  ['a key that is let go is silent at once', 0],
  ['a key that is let go holds its voices until its tail is over', TAIL],
])('%s: any notes, pedals and mode messages on several channels', (_, tail) => {
  fc.assert(
    fc.property(
      fc.array(step, { maxLength: 60, size: 'max' }),
      fc.array(fc.constantFrom(0, 1, 2, 4), { minLength: 3, maxLength: 3 }),
      (steps, each) => {
        let now = 0;
        const rows = steps.map(([channel, { kind, a, b }, wait]): TimedBytes => {
          now += wait * 1000;
          return [now, kind | channel, a, b];
        });
        const keys = new SoundingKeys(timelineOf(rows), tail);
        const models = CHANNELS.map(() => new ChannelModel());
        /** channel * 128 + key → when its tail is over. */
        const tails = new Map<number, number>();
        for (const [n, channel] of CHANNELS.entries()) keys.voicesEach[channel] = each[n]!;
        const weigh = (cells: Iterable<number>) =>
          [...cells].reduce((sum, cell) => sum + each[CHANNELS.indexOf(cell >> 7)]!, 0);
        for (const [row, [micros, status, a = 0, b = 0]] of rows.entries()) {
          keys.passTo(micros);
          for (const [cell, end] of tails) if (end <= micros) tails.delete(cell);
          const channel = status! & 15;
          const model = models[CHANNELS.indexOf(channel)]!;
          const before = model.sounding;
          keys.take(row);
          const kind = status! & 0xf0;
          if (kind === 0x90 && b > 0) model.on(a);
          else if (kind === 0x90 || kind === 0x80) model.off(a);
          else if (kind === 0xb0) model.control(a, b);
          const after = model.sounding;
          if (tail > 0) {
            for (const key of before) if (!after.has(key)) tails.set(channel * 128 + key, micros + tail);
            for (const key of after) if (!before.has(key)) tails.delete(channel * 128 + key);
            // All Sound Off leaves no tail.
            if (kind === 0xb0 && a === 120)
              for (const cell of [...tails.keys()]) if (cell >> 7 === channel) tails.delete(cell);
          }
          const cells = CHANNELS.flatMap((one, at) =>
            [...models[at]!.sounding].map((key) => one * 128 + key),
          );
          for (const [at, one] of CHANNELS.entries())
            expect(keys.onChannel[one]).toBe(models[at]!.sounding.size);
          expect(keys.total).toBe(weigh([...cells, ...tails.keys()]));
          expect(keys.nextEndMicros()).toBe(Math.min(...tails.values()));
          expect(keys.pedalsDown()).toEqual(CHANNELS.filter((_one, at) => models[at]!.isPedalDown));
        }
      },
    ),
    { numRuns: 40 },
  );
});
