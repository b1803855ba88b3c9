import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { noteSounds } from '../../../../src/core/arrange/fit/note-sounds.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { profileNamed } from '../../../../src/profile/profile-named.ts';
import { npmSongs } from '../../../support/package-songs.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';

const LINDWURM = profileNamed('lindwurm-eight').instrument;
const BOX = profileNamed('tin-beat-box').instrument;
/** As it would be without its second channel: drums have to move. */
const BOX_ON_ONE = { ...BOX, channels: [0], drums: { ...BOX.drums, channels: [0] } };
const SHIPPED = [LINDWURM, profileNamed('parlour-piano').instrument, BOX, BOX_ON_ONE];

function fitOf(bytes: Uint8Array, instrument: Instrument) {
  const song = readSong(bytes);
  return fitSong(song, buildTimeline(song), instrument, 2);
}

/** A second fit of what a first one wrote; undefined where it changes nothing. */
function again(bytes: Uint8Array, instrument: Instrument) {
  const { song, before, after } = fitOf(bytes, instrument);
  expect(after.lossPercent).toBeLessThanOrEqual(before.lossPercent + 0.005);
  return song === undefined ? undefined : fitOf(writeSong(song), instrument).song;
}

/** Chords of long and short notes in many programs: more voices and parts than eight and four. */
const chords = fc.array(
  fc.record({
    channel: fc.integer({ min: 0, max: 6 }),
    program: fc.integer({ min: 0, max: 127 }),
    keys: fc.uniqueArray(fc.integer({ min: 30, max: 100 }), { minLength: 1, maxLength: 5 }),
    wait: fc.integer({ min: 0, max: 40 }),
    length: fc.integer({ min: 20, max: 400 }),
    velocity: fc.integer({ min: 20, max: 127 }),
  }),
  { minLength: 3, maxLength: 14 },
);

function songOf(things: typeof chords extends fc.Arbitrary<infer Things> ? Things : never): Uint8Array {
  let tick = 0;
  const events = things.flatMap(({ channel, program, keys, wait, length, velocity }) => {
    tick += wait;
    const on = tick;
    return [
      { tick: on, bytes: [0xc0 | channel, program] },
      ...keys.map((key) => ({ tick: on, bytes: [0x90 | channel, key, velocity] })),
      ...keys.map((key) => ({ tick: on + length, bytes: [0x80 | channel, key, 64] })),
    ];
  });
  const sorted = events.sort((a, b) => a.tick - b.tick);
  return songBytes([
    sorted.map(({ tick: at, bytes }, n): DeltaEvent => [at - (sorted[n - 1]?.tick ?? 0), bytes]),
  ]);
}

describe('a second fit', () => {
  test('changes nothing, and the first made nothing worse: songs of many programs', () => {
    fc.assert(
      fc.property(chords, fc.constantFrom(...SHIPPED), (things, instrument) => {
        expect(again(songOf(things), instrument)).toBeUndefined();
      }),
      { numRuns: 60, seed: 7 },
    );
  });

  test('changes nothing: real songs', () => {
    for (const { name, bytes } of npmSongs().slice(0, 3)) {
      for (const instrument of SHIPPED)
        expect(again(bytes, instrument), `${name}, ${instrument.name}`).toBeUndefined();
    }
  });
});

describe('what a note sounds like', () => {
  // Its "Warm Carpet" is number 5 of bank 0/1, like pad 90, of two voices; number 5 of bank 0/0 is a reed of one.
  const soundsOf = (...selection: DeltaEvent[]) => {
    const bytes = songBytes([[...selection, [0, [0x90, 60, 90]], [96, [0x80, 60, 64]]]]);
    const { columns } = buildTimeline(readSong(bytes));
    const { like, voicesEach } = noteSounds(heardNotes(columns, []), LINDWURM);
    return [like[0], voicesEach?.[0] ?? 1];
  };

  test('is what its bank has at this number, or the nearest there is', () => {
    const bank: DeltaEvent = [0, [0xb0, 32, 1]];
    expect(soundsOf(bank, [0, [0xc0, 4]])).toEqual([89, 2]);
    expect(soundsOf([0, [0xc0, 4]])).toEqual([71, 1]);
    // Selected after the program: it takes effect with the next.
    expect(soundsOf([0, [0xc0, 4]], bank)).toEqual([71, 1]);
    expect(soundsOf([0, [0xc0, 91]])).toEqual([89, 2]);
  });
});
