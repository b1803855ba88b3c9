import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type HeardNotes, heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { LEFT_OUT, OWN_END, playedNotes } from '../../../../src/core/arrange/fit/played-notes.ts';
import { playSimulated } from '../../../support/simulated-instrument.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';
import { columnsOfText } from './rows-as-text.ts';

const END_MICROS = 9_000_000;
const DRUMS = 1;

/** Notes on few keys, a drum channel among them, pedals, and what ends all of a channel. */
const songs = fc
  .array(
    fc.tuple(
      fc.integer({ min: 0, max: 16 }),
      fc.constantFrom(0, 0, DRUMS, 2),
      fc.oneof(
        {
          weight: 5,
          arbitrary: fc.tuple(
            fc.constantFrom(0x90, 0x90, 0x80),
            fc.integer({ min: 60, max: 63 }),
            fc.constant(90),
          ),
        },
        fc.tuple(fc.constant(0xb0), fc.constantFrom(64, 123), fc.constantFrom(0, 127)),
      ),
    ),
    { minLength: 8, maxLength: 40, size: 'max' },
  )
  .map((steps) =>
    timelineOf(
      steps.map(
        ([step, channel, [status, ...data]]): TimedBytes => [step * 100_000, status + channel, ...data],
      ),
    ),
  );

const supplies = fc.record({
  voices: fc.integer({ min: 1, max: 4 }),
  full: fc.constantFrom('oldest' as const, 'released' as const, 'newest' as const),
  releaseMicros: fc.constantFrom(0, 150_000, 200_000, 600_000),
});

/** Most notes at once with voices enough: those struck, not over with their tails, and not struck again. */
function mostAtOnce(notes: HeardNotes, until: Float64Array, onAt: (note: number) => number, tail: number) {
  const all = Array.from(notes.onRow, (_, note) => note);
  const place = (note: number) => notes.channel[note]! * 128 + notes.key[note]!;
  return Math.max(
    0,
    ...all.map(
      (now) =>
        all.filter(
          (one) =>
            one <= now &&
            (notes.endRow[one]! > notes.onRow[now]! || until[one]! + tail > onAt(now)) &&
            !all.some((later) => later > one && later <= now && place(later) === place(one)),
        ).length,
    ),
  );
}

describe('notes played into an instrument of few voices', () => {
  test('are heard as long as in a simulated instrument that is played by messages', () => {
    fc.assert(
      fc.property(songs, supplies, (columns, supply) => {
        const notes = heardNotes(columns, [DRUMS]);
        const simulated = playSimulated(columns, END_MICROS, { ...supply, drums: [DRUMS] });
        const played = playedNotes(columns, END_MICROS, notes, undefined, undefined, supply);
        expect([...played.untilMicros]).toEqual(
          simulated.notes.map(({ heardUntil, onMicros }) => Math.max(heardUntil, onMicros)),
        );
        expect(played.cut).toBe(simulated.cut);
        const enough = { ...supply, voices: 99 };
        const free = playedNotes(columns, END_MICROS, notes, undefined, undefined, enough);
        const onAt = (note: number) => columns.micros[notes.onRow[note]!]!;
        expect(free.mostVoices).toBe(mostAtOnce(notes, free.untilMicros, onAt, supply.releaseMicros));
        expect(played.mostVoices).toBe(Math.min(supply.voices, free.mostVoices));
      }),
      { numRuns: 120, seed: 4 },
    );
  });

  // Rows: 0 C, 1 E, 2 G, 3 A on; 4 to 7 off in the same order.
  const columns = columnsOfText(
    ...['0 90 3C 40', '1000 90 40 40', '2000 90 43 40', '3000 90 45 40'],
    ...['4000 80 3C 40', '5000 80 40 40', '6000 80 43 40', '7000 80 45 40'],
  );
  const notes = heardNotes(columns, []);
  const play = (
    voices: number,
    { endOf = [], each }: { endOf?: readonly number[]; each?: Uint8Array },
    full: 'oldest' | 'released' | 'newest' = 'oldest',
    releaseMicros = 0,
  ) => {
    const ends = Uint32Array.from({ length: 4 }, (_, note) => endOf[note] ?? OWN_END);
    const supply = { voices, full, releaseMicros };
    const { untilMicros, ...counts } = playedNotes(columns, END_MICROS, notes, ends, each, supply);
    return { until: Array.from(untilMicros, (micros) => micros / 1e6), ...counts };
  };

  test('another end than its own holds, and one that is left out takes no voice', () => {
    expect(play(4, { endOf: [2] })).toEqual({ until: [2, 5, 6, 7], cut: 0, mostVoices: 3 });
    expect(play(4, { endOf: [OWN_END, LEFT_OUT] })).toEqual({ until: [4, 1, 6, 7], cut: 0, mostVoices: 3 });
    expect(play(2, { endOf: [2, 3, LEFT_OUT] })).toEqual({ until: [2, 3, 2, 7], cut: 0, mostVoices: 2 });
    // Two that end together are let go in their order: of both tails the first is taken.
    expect(play(3, { endOf: [2, 2] }, 'released', 5e6)).toMatchObject({ until: [2, 2, 6, 7], cut: 0 });
  });

  test('one that takes several voices takes those of several, and gives them all back', () => {
    expect(play(2, { each: Uint8Array.of(1, 1, 2, 1) })).toEqual({
      until: [2, 2, 3, 7],
      cut: 3,
      mostVoices: 2,
    });
    expect(play(3, { each: Uint8Array.of(2, 1, 1, 1) })).toEqual({
      until: [2, 5, 6, 7],
      cut: 1,
      mostVoices: 3,
    });
    // More than there are: it takes all.
    expect(play(2, { each: Uint8Array.of(1, 3, 1, 1) })).toEqual({
      until: [1, 2, 6, 7],
      cut: 2,
      mostVoices: 2,
    });
    expect(play(3, { each: Uint8Array.of(1, 1, 2, 1) }, 'newest')).toEqual({
      until: [4, 5, 2, 7],
      cut: 1,
      mostVoices: 3,
    });
  });

  test('the last key of the last channel has a place of its own', () => {
    const last = columnsOfText(
      '0 90 3C 40',
      '1000 9F 7F 40',
      '2000 9F 7F 40',
      '3000 8F 7F 40',
      '3000 80 3C 40',
    );
    const supply = { voices: 1, full: 'newest' as const, releaseMicros: 0 };
    const { untilMicros, cut } = playedNotes(
      last,
      END_MICROS,
      heardNotes(last, []),
      undefined,
      undefined,
      supply,
    );
    expect([Array.from(untilMicros), cut]).toEqual([[3e6, 1e6, 2e6], 2]);
  });

  test('dying voices go first where the instrument knows them, by when they were let go', () => {
    const endOf = [OWN_END, 2];
    expect(play(2, { endOf }, 'released', 5e6)).toEqual({ until: [3, 2, 6, 7], cut: 1, mostVoices: 2 });
    expect(play(2, { endOf }, 'oldest', 5e6)).toEqual({ until: [2, 2, 6, 7], cut: 1, mostVoices: 2 });
    expect(play(2, { endOf }, 'newest', 5e6)).toEqual({ until: [4, 2, 2, 3], cut: 2, mostVoices: 2 });
    // A tail that is over to the microsecond holds no voice.
    expect(play(2, { endOf: [1] }, 'newest', 1e6)).toEqual({ until: [1, 5, 6, 3], cut: 1, mostVoices: 2 });
    expect(play(2, { endOf: [1] }, 'newest', 1e6 + 1)).toEqual({
      until: [1, 5, 2, 7],
      cut: 1,
      mostVoices: 2,
    });
  });
});
