import { describe, expect, test } from 'vitest';
import { drumEvidence } from '../../../src/core/report/drum-evidence.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, meta, songBytes, tempo } from '../../support/song-bytes.ts';

interface Beat {
  readonly name?: string;
  readonly channel?: number;
  readonly program?: number;
  readonly keys?: readonly number[];
  readonly notes?: number;
  /** Length of the notes in milliseconds, and how many of them are ten times as long. */
  readonly millis?: number;
  readonly long?: number;
  /** How many at the end are never released. */
  readonly hanging?: number;
}

/** A millisecond is a tick: 96 ticks in 96,000 µs. */
function track({
  name = 'Drums',
  channel = 0,
  program = 0,
  keys = [36, 38],
  notes = 12,
  millis = 100,
  long = 0,
  hanging = 0,
}: Beat): DeltaEvent[] {
  return [
    [0, meta(0x03, Buffer.from(name))],
    [0, tempo(96_000)],
    [0, [0xc0 | channel, program]],
    ...Array.from({ length: notes }, (_, n): DeltaEvent[] => [
      [1, [0x90 | channel, keys[n % keys.length]!, 90]],
      ...(n < notes - hanging
        ? [[n < long ? 10 * millis : millis, [0x80 | channel, keys[n % keys.length]!, 64]] as const]
        : []),
    ]).flat(),
  ];
}

const evidence = (tracks: readonly DeltaEvent[][], drums: readonly number[] = [9]) =>
  drumEvidence(buildTimeline(readSong(songBytes(tracks))), drums);
const isFound = (beat: Beat) => evidence([track(beat)]).length === 1;

describe('a track that is called so and plays like drums', () => {
  test('is found, with its first note and how many there are', () => {
    expect(evidence([track({ channel: 4 })])).toEqual([
      { channel: 4, row: 1, notes: 12, why: 'its track is called "Drums"' },
    ]);
    expect(evidence([track({ channel: 4 })], [4, 9])).toEqual([]);
  });

  test.each<[string, Beat, boolean]>([
    ['eleven notes', { notes: 11 }, false],
    ['one key', { keys: [36] }, false],
    ['300 ms long', { millis: 300 }, true],
    ['301 ms long', { millis: 301 }, false],
    ['two of twenty long', { notes: 20, long: 2 }, true],
    ['three of twenty long', { notes: 20, long: 3 }, false],
    ['two of twenty never released', { notes: 20, hanging: 2 }, true],
    ['three of twenty never released', { notes: 20, hanging: 3 }, false],
    // General MIDI 1 has percussion on keys 35 to 81.
    ['the lowest and the highest drum', { keys: [35, 81] }, true],
    ['a key below', { keys: [34, 36] }, false],
    ['a key above', { keys: [36, 82] }, false],
    // Timpani, and tinkle bell to reverse cymbal, by General MIDI's numbers less one.
    ['orchestra hit’s neighbour', { program: 46 }, true],
    ['timpani', { program: 47 }, false],
    ['string ensemble', { program: 48 }, true],
    ['sitar’s family', { program: 111 }, true],
    ...[112, 113, 114, 115, 116, 117, 118].map((program): [string, Beat, boolean] => [
      `program ${program} of the drum family`,
      { program },
      false,
    ]),
    ['reverse cymbal', { program: 119 }, true],
  ])('%s', (_, beat, found) => {
    expect(isFound(beat)).toBe(found);
  });

  test.each([
    ['DrumL', true],
    ['Set of drums', true],
    ['Percussion 2', true],
    ['Humdrum', false],
    ['Steel drums', false],
    ['Melodic drum', false],
    ['Pitched percussion', false],
    ['Timpani and drums', false],
    ['', false],
  ])('called "%s"', (name, found) => {
    expect(isFound({ name })).toBe(found);
  });

  test('of two tracks on one channel both must be called so; a track of two channels names neither', () => {
    expect(evidence([track({}), track({ name: 'Drums 2' })])).toHaveLength(1);
    expect(evidence([track({}), track({ name: 'Bass' })])).toEqual([]);
    expect(evidence([[...track({}), ...track({ channel: 1 }).slice(2)]])).toEqual([]);
    expect(evidence([track({}), track({ channel: 1 })])).toHaveLength(2);
  });
});

test('bank 120 (General MIDI 2, RP-024): as many notes as come under it, whatever the track is called', () => {
  const bass = track({ name: 'Bass', channel: 3, notes: 2 });
  const rhythm: DeltaEvent[] = [
    [0, [0xb3, 0, 120]],
    [0, [0xc3, 0]],
  ];
  expect(
    evidence([[...bass, ...rhythm, ...track({ name: '', channel: 5, notes: 1 }).slice(3), ...bass.slice(3)]]),
  ).toEqual([{ channel: 3, row: 1, notes: 2, why: 'bank 120' }]);
});
