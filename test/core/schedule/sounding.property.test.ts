import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Sounding } from '../../../src/core/schedule/sounding.ts';

/** Note-on rows of a song, two to each of a few keys of three channels. */
const ROWS = 24;
const channelOf = (row: number) => [0, 3, 15][row % 3]!;

/** The same in words: each row's strike lives until it is released, withheld or its key is cleared. */
class SoundingModel {
  readonly #alive = new Map<number, { channel: number; key: number }>();
  readonly strikes = new Map<number, number>();

  strike(row: number, key: number): void {
    this.#alive.set(row, { channel: channelOf(row), key });
    this.#add(channelOf(row), key, 1);
  }

  withhold(row: number): void {
    this.#alive.delete(row);
  }

  release(row: number): number {
    const note = this.#alive.get(row);
    this.#alive.delete(row);
    if (note === undefined) return -1;
    this.#add(note.channel, note.key, -1);
    return note.key;
  }

  clear(channel: number, key: number): void {
    for (const [row, note] of this.#alive) {
      if (note.channel === channel && note.key === key) this.#alive.delete(row);
    }
    this.strikes.set(channel * 128 + key, 0);
  }

  #add(channel: number, key: number, by: number): void {
    const cell = channel * 128 + key;
    this.strikes.set(cell, Math.max(0, (this.strikes.get(cell) ?? 0) + by));
  }
}

const row = fc.nat(ROWS - 1);
const key = fc.constantFrom(0, 60, 127);
const step = fc.oneof(
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('strike' as const), row, key }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('release' as const), row, key }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('withhold' as const), row, key }) },
  {
    weight: 2,
    // Up to more silences of one key than a mark has numbers for.
    arbitrary: fc.record({
      kind: fc.constant('clear' as const),
      row,
      key,
      times: fc.constantFrom(1, 2, 509, 512),
    }),
  },
);

test('a note-off goes only for a strike that was sent and not ended, whatever the silences in between', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 60, size: 'max' }), (steps) => {
      const sounding = new Sounding(Uint8Array.from({ length: ROWS }, (_, at) => 0x90 | channelOf(at)));
      const model = new SoundingModel();
      for (const one of steps) {
        const channel = channelOf(one.row);
        if (one.kind === 'strike') {
          // A row is struck once until its end was heard of, as in a song and its repeat.
          model.release(one.row);
          sounding.release(one.row, channel);
          model.strike(one.row, one.key);
          sounding.strike(one.row, channel, one.key);
        } else if (one.kind === 'release') {
          expect(sounding.release(one.row, channel)).toBe(model.release(one.row));
        } else if (one.kind === 'withhold') {
          model.withhold(one.row);
          sounding.withhold(one.row);
        } else {
          for (let n = 0; n < one.times; n += 1) sounding.clearKey(channel, one.key);
          model.clear(channel, one.key);
        }
      }
      for (const channel of [0, 3, 15]) {
        let sum = 0;
        for (let at = 0; at < 128; at += 1) {
          const strikes = sounding.strikes[channel * 128 + at]!;
          expect(strikes).toBe(model.strikes.get(channel * 128 + at) ?? 0);
          sum += strikes;
        }
        expect(sounding.onChannel[channel]).toBe(sum);
      }
    }),
    { numRuns: 40 },
  );
});

test('more note-offs than strikes take nothing away from another key', () => {
  const sounding = new Sounding(new Uint8Array(0));
  sounding.strikeKey(2, 60);
  sounding.releaseKey(2, 61);
  sounding.releaseKey(2, 60);
  sounding.releaseKey(2, 60);
  expect([sounding.strikes[2 * 128 + 60], sounding.onChannel[2]]).toEqual([0, 0]);
});
