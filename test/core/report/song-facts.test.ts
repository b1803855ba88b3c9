import { expect, test } from 'vitest';
import { songFactsOf } from '../../../src/core/report/song-facts.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, meta, songBytes, tempo } from '../../support/song-bytes.ts';

const text = (type: number, words: string) =>
  meta(
    type,
    Uint8Array.from(words, (letter) => letter.charCodeAt(0)),
  );

function facts(tracks: DeltaEvent[][], division?: number) {
  const song = readSong(songBytes(tracks, division === undefined ? {} : { division }));
  return songFactsOf(song, buildTimeline(song));
}

test('length, tempo, meter, keys, texts and ports of a song', () => {
  // Four quarters at 120, four at 90 (666,667 µs), then a bar of three quarters begins and is left at its second.
  const first: DeltaEvent[] = [
    [0, text(3, 'A name')],
    [0, tempo(500_000)],
    [0, meta(0x58, [4, 2, 24, 8])],
    [0, meta(0x59, [1, 0])],
    [0, text(6, 'marker')],
    [0, text(5, 'la')],
    [0, text(5, 'la')],
    [384, tempo(666_667)],
    [384, meta(0x58, [3, 2, 24, 8])],
    [0, meta(0x59, [1, 0])],
    [0, meta(0x59, [0xfd, 1])],
    [96, text(6, 'marker')],
  ];
  const port = (number: number, on: number): DeltaEvent[] => [
    [0, meta(0x21, [number])],
    [on, [0x90, 60, 64]],
    [10, [0x80, 60, 64]],
  ];
  expect(facts([first, port(2, 0), port(1, 5), [[0, meta(0x21, [7])]]])).toEqual({
    ...{ title: 'A name', format: 1, tracks: 4, division: '96 ticks a quarter' },
    durationSeconds: 2 + (5 * 666_667) / 1e6,
    bars: 3,
    tempo: { slowest: 90, fastest: 120, changes: 1 },
    meters: ['4/4', '3/4'],
    keys: ['G major', 'C minor'],
    ...{ markers: 2, lyrics: 2, events: 4 },
    ports: [1, 2],
  });
});

test('a song that ends on a bar line has no bar behind it, and one without anything has one', () => {
  expect(facts([[[384, [0xb0, 7, 1]]]]).bars).toBe(1);
  expect(facts([[[385, [0xb0, 7, 1]]]]).bars).toBe(2);
  expect(facts([[]])).toMatchObject({ bars: 1, durationSeconds: 0, ports: [], events: 0 });
  expect(facts([[[0, [0x90, 60, 64]]]]).ports).toEqual([0]);
});

test('frames a second, 29.97 among them (SMF 1.1, division)', () => {
  // E7 28: 25 frames, 40 ticks; E3 50: 29 for 29.97 drop frame, 80 ticks.
  expect(facts([[]], 0xe728).division).toBe('25 frames a second, 40 ticks a frame');
  expect(facts([[]], 0xe350).division).toBe('29.97 frames a second, 80 ticks a frame');
});
