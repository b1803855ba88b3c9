import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import { placeOf, placeOfRow } from '../../../src/core/report/place-of.ts';
import { polyphonyOf } from '../../../src/core/report/polyphony.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes, tempo } from '../../support/song-bytes.ts';

/** A tick is 10 ms: 96 ticks in 960,000 µs. */
const timelineOf = (events: readonly DeltaEvent[]) =>
  buildTimeline(readSong(songBytes([[[0, tempo(960_000)], ...events]])));
const on = (delta: number, channel: number, key: number): DeltaEvent => [delta, [0x90 | channel, key, 64]];
const off = (delta: number, channel: number, key: number): DeltaEvent => [delta, [0x80 | channel, key, 64]];

function polyphony(
  events: readonly DeltaEvent[],
  points: number,
  instrument: Partial<Instrument> = {},
  voices?: number,
) {
  return polyphonyOf(timelineOf(events), { ...GENERAL_MIDI, ...instrument }, points, voices);
}

/** Seconds: 0–2 one key, 2–3 three, 3–4 two, 4–8 none, 8–10 one. */
const SONG: DeltaEvent[] = [
  ...[on(0, 0, 60), on(200, 1, 60), on(0, 1, 64), off(100, 0, 60), off(100, 1, 60), off(0, 1, 64)],
  ...[on(400, 15, 60), off(200, 15, 60)],
];

describe('keys at once', () => {
  test('in each stretch of the song the most, also where nothing begins or ends', () => {
    expect(polyphony(SONG, 10).check.curve).toEqual([1, 1, 3, 2, 0, 0, 0, 0, 1, 1]);
    expect(polyphony(SONG, 5).check.curve).toEqual([1, 3, 0, 0, 1]);
    expect(polyphony(SONG, 1).check.curve).toEqual([3]);
    expect(polyphony(SONG, 20).check.curve.join('')).toBe('11113322000000001111');
  });

  test('the most of all, where it first is so, and on each channel', () => {
    const { check, mostOnChannel, pedalsLeftDown } = polyphony(SONG, 4);
    expect(check).toMatchObject({ voices: 24, most: 3, at: { seconds: 2, bar: 1, beat: 3 }, overSeconds: 0 });
    expect([...mostOnChannel.entries()].filter(([, most]) => most > 0)).toEqual([
      [0, 1],
      [1, 2],
      [15, 1],
    ]);
    expect(pedalsLeftDown).toEqual([]);
  });

  test('for how long there are too few voices, and which notes come then', () => {
    const over = (voices: number) => {
      const { check, overNotes } = polyphony(SONG, 1, {}, voices);
      return [check.overSeconds, overNotes];
    };
    expect([over(3), over(2), over(1)]).toEqual([
      [0, 0],
      [1, 2],
      [2, 2],
    ]);
    expect(over(0)).toEqual([6, 4]);
  });

  test('tails: each holds its voice a while longer, up to the end of the song', () => {
    const { check } = polyphony(SONG, 10, { releaseMicros: 500_000 }, 2);
    // The first key is let go at 3 s and dies away at 3.5 s; the others from 4 to 4.5 s.
    expect(check.overSeconds).toBe(1.5);
    expect(check.curve).toEqual([1, 1, 3, 3, 2, 0, 0, 0, 1, 1]);
    const last = polyphony(
      [on(0, 0, 60), off(100, 0, 60), on(10, 0, 62), off(100, 0, 62)],
      1,
      { releaseMicros: 9e6 },
      1,
    );
    expect([last.check.most, last.check.overSeconds]).toEqual([2, 1]);
  });

  test('without a note there is nothing, at the beginning', () => {
    const { check, overNotes } = polyphony([[100, [0xb0, 64, 127]]], 2);
    expect(check).toEqual({
      voices: 24,
      most: 0,
      at: { seconds: 0, bar: 1, beat: 1 },
      overSeconds: 0,
      curve: [0, 0],
    });
    expect(overNotes).toBe(0);
    expect(polyphony([[100, [0xb7, 64, 127]]], 2).pedalsLeftDown).toEqual([7]);
  });
});

test('places: a moment before the song is its beginning; a row is where it is written', () => {
  const timeline = timelineOf(SONG);
  expect(placeOf(timeline, 0)).toEqual({ seconds: 0, bar: 1, beat: 1 });
  expect(placeOf(timeline, -5000)).toEqual({ seconds: -0.005, bar: 1, beat: 1 });
  expect(placeOf(timeline, 959_999)).toEqual({ seconds: 0.959999, bar: 1, beat: 1 });
  expect(placeOf(timeline, 960_000)).toEqual({ seconds: 0.96, bar: 1, beat: 2 });
  expect(placeOfRow(timeline, 0)).toEqual({ seconds: 0, bar: 1, beat: 1 });
  expect(placeOfRow(timeline, 1)).toEqual({ seconds: 2, bar: 1, beat: 3 });
  expect(placeOfRow(timeline, -1)).toEqual({ seconds: 0, bar: 1, beat: 1 });
});
