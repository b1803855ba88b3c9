import { expect, test } from 'vitest';
import { voiceChangesOf } from '../../../src/core/report/voice-changes.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';

/** Chords one after another, a beat each: [channel, keys] of what sounds in each. */
type Chord = readonly (readonly [channel: number, keys: number])[];

function changes(voices: number, ...chords: readonly Chord[]) {
  const notes = new Array<number>(16).fill(0);
  const events = chords.flatMap((chord) => {
    const struck = chord.flatMap(([channel, keys]) =>
      Array.from({ length: keys }, (_, n) => [channel, 60 + n] as const),
    );
    for (const [channel] of struck) notes[channel]! += 1;
    return [
      ...struck.map(([channel, key]): DeltaEvent => [0, [0x90 | channel, key, 64]]),
      ...struck.map(([channel, key], n): DeltaEvent => [n === 0 ? 96 : 0, [0x80 | channel, key, 64]]),
    ];
  });
  return voiceChangesOf(buildTimeline(readSong(songBytes([events]))), voices, notes);
}

const muted = (voices: number, ...chords: readonly Chord[]) =>
  changes(voices, ...chords).map(({ flags }) => flags);

test('the one channel that is enough and has the fewest notes', () => {
  const chord: Chord = [
    [0, 3],
    [4, 2],
    [15, 1],
  ];
  expect(muted(5, chord)).toEqual([['--mute', '16']]);
  expect(muted(4, chord)).toEqual([['--mute', '5']]);
  expect(muted(3, chord)).toEqual([['--mute', '1']]);
  // Channel 5 sounds least where it is crowded, but it has more notes in all.
  expect(muted(4, chord, [[4, 4]])).toEqual([['--mute', '1']]);
});

test('two where one is not enough, with the fewest notes; more than two never', () => {
  const chord: Chord = [
    [0, 3],
    [4, 2],
    [9, 2],
    [15, 1],
  ];
  expect(muted(4, chord)).toEqual([['--mute', '1,16']]);
  expect(muted(3, chord)).toEqual([['--mute', '1,5']]);
  expect(muted(2, chord)).toEqual([]);
});

test('every moment that is too full counts, also one that has fewer keys in all', () => {
  const first: Chord = [
    [0, 4],
    [1, 1],
  ];
  const second: Chord = [
    [0, 1],
    [1, 3],
  ];
  expect(muted(3, first)).toEqual([['--mute', '1']]);
  expect(muted(3, first, second)).toEqual([['--mute', '1']]);
  expect(muted(2, first, second)).toEqual([['--mute', '1,2']]);
});

test('a moment is judged whole: what begins where another ends does not sound with it', () => {
  const on = (delta: number, channel: number): DeltaEvent => [delta, [0x90 | channel, 60, 64]];
  const off = (delta: number, channel: number): DeltaEvent => [delta, [0x80 | channel, 60, 64]];
  const inTurn = [on(0, 0), on(96, 1), off(0, 0), off(96, 1)];
  const together = [on(0, 0), on(0, 2), off(96, 0), off(0, 2)];
  const song = buildTimeline(readSong(songBytes([[...inTurn, ...together]])));
  const notes = [2, 1, 1, ...new Array<number>(13).fill(0)];
  expect(voiceChangesOf(song, 1, notes).map(({ flags }) => flags)).toEqual([['--mute', '3']]);
});

test('in words', () => {
  expect(
    changes(1, [
      [0, 1],
      [2, 1],
    ]).map(({ text }) => text),
  ).toEqual(['leave out channel 1, so that one voice is enough']);
  expect(
    changes(2, [
      [0, 2],
      [2, 2],
      [3, 2],
    ]).map(({ text }) => text),
  ).toEqual(['leave out channels 1 and 3, so that 2 voices are enough']);
});
