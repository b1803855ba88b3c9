import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { noteSounds } from '../../../../src/core/arrange/fit/note-sounds.ts';
import { GENERAL_MIDI_2 } from '../../../../src/core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
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

interface Step {
  readonly kind: (typeof KINDS)[number];
  readonly track: number;
  readonly channel: number;
  /** Ticks since the step before, and how long keys and pedals are down. */
  readonly wait: number;
  readonly length: number;
  readonly keys: readonly number[];
  /** Velocity, program, bank, bend, volume or range, or which of its kind. */
  readonly value: number;
}

const KINDS = [
  'chord',
  'chord',
  'chord',
  'chord',
  'program',
  'bank',
  'pedal',
  'bend',
  'volume',
  'range',
  'mode',
  'reset',
] as const;

/** Chords that begin and end together or a tick apart, on tracks that are merged, and all that moves them. */
const steps: fc.Arbitrary<Step[]> = fc.array(
  fc.record({
    kind: fc.constantFrom(...KINDS),
    track: fc.integer({ min: 0, max: 2 }),
    channel: fc.constantFrom(0, 1, 2, 3, 4, 5, 6, 9, 10),
    wait: fc.constantFrom(0, 0, 1, 10, 24, 48, 97),
    length: fc.constantFrom(0, 1, 10, 24, 47, 48, 96, 300),
    keys: fc.uniqueArray(fc.integer({ min: 20, max: 110 }), { minLength: 1, maxLength: 5 }),
    value: fc.integer({ min: 1, max: 127 }),
  }),
  { minLength: 3, maxLength: 30 },
);

function messagesOf({ kind, channel, length, keys, value }: Step): [later: number, bytes: number[]][] {
  const control = (number: number, data: number, later = 0): [number, number[]] => [
    later,
    [0xb0 | channel, number, data],
  ];
  switch (kind) {
    case 'chord':
      return keys.flatMap((key): [number, number[]][] => [
        [0, [0x90 | channel, key, value]],
        [length, [0x80 | channel, key, 64]],
      ]);
    case 'program':
      return [[0, [0xc0 | channel, value]]];
    case 'bank':
      return [control(value % 2 === 0 ? 0 : 32, [0, 1, 2, 120, 121][value % 5]!)];
    case 'pedal':
      return [64, 66, 67]
        .slice(value % 3, 1 + (value % 3))
        .flatMap((pedal) => [control(pedal, 127), control(pedal, 0, length)]);
    case 'bend':
      return [[0, [0xe0 | channel, 0, value]]];
    case 'volume':
      return [control(value % 2 === 0 ? 7 : 11, value)];
    case 'range':
      return [control(101, 0), control(100, 0), control(6, value % 13)];
    case 'mode':
      return [control([120, 121, 123][value % 3]!, 0)];
    case 'reset':
      return [[0, [0xf0, 5, 0x7e, 0x7f, 0x09, 1 + (value % 3), 0xf7]]];
  }
}

function songOf(all: readonly Step[]): Uint8Array {
  const tracks: { tick: number; bytes: number[] }[][] = [[], [], []];
  let tick = 0;
  for (const step of all) {
    tick += step.wait;
    for (const [later, bytes] of messagesOf(step)) tracks[step.track]!.push({ tick: tick + later, bytes });
  }
  return songBytes(
    tracks.map((track) => {
      const sorted = track.toSorted((a, b) => a.tick - b.tick);
      return sorted.map(({ tick: at, bytes }, n): DeltaEvent => [at - (sorted[n - 1]?.tick ?? 0), bytes]);
    }),
  );
}

const instruments: fc.Arbitrary<Instrument> = fc
  .record({
    base: fc.constantFrom(...SHIPPED, GENERAL_MIDI, GENERAL_MIDI_2),
    voices: fc.constantFrom(undefined, 1, 2, 3, 4, 6, 8, 12),
    parts: fc.constantFrom(undefined, 1, 2, 3, 4, 8),
    full: fc.constantFrom(undefined, 'oldest', 'released', 'newest'),
    few: fc.boolean(),
    pause: fc.constantFrom(0, 120_000),
  })
  .map(({ base, voices, parts, full, few, pause }) => ({
    ...base,
    voices: voices ?? base.voices,
    parts: parts ?? base.parts,
    full: full ?? base.full,
    channels: few ? base.channels.slice(0, 3) : base.channels,
    bendRangeSemitones: pause > 0 ? 12 : base.bendRangeSemitones,
    pauses: { ...base.pauses, afterProgramMicros: pause },
  }));

const chord = (channel: number, keys: number[], value: number, length: number, wait = 0): Step => ({
  kind: 'chord',
  track: 0,
  channel,
  wait,
  length,
  keys,
  value,
});
const sent = (kind: Step['kind'], channel: number, value: number): Step => ({
  ...chord(channel, [60], value, 0),
  kind,
});

/**
 * Songs that a second fit changed, found among 60,000 of these (three in ten thousand) and made small: where the fit was
 * judged by keys and volumes that it had changed itself, where voices were planned for notes that are not heard, where
 * a mode message of one channel ended the notes of another, where a program stayed on what was now the drums', where
 * a bend range that the instrument begins with was not said on the channel a part went to.
 */
const FOUND: [Step[], Instrument][] = [
  [
    [chord(10, [20], 1, 1), chord(6, [20, 21, 22], 6, 48), chord(0, [20], 6, 1, 10), chord(10, [21], 2, 47)],
    { ...GENERAL_MIDI, voices: 4, parts: 2 },
  ],
  [
    [chord(10, [20], 1, 1), chord(0, [20, 21, 22], 87, 1, 1), chord(3, [23], 28, 1)],
    { ...GENERAL_MIDI, voices: 3, channels: [0, 1, 2] },
  ],
  [
    [chord(0, [20], 1, 1), chord(0, [21, 32], 23, 1), chord(2, [20, 44, 97], 13, 96)],
    { ...LINDWURM, voices: 4, parts: 4, full: 'released' },
  ],
  [
    [
      chord(6, [20, 21, 22, 23], 1, 1),
      chord(0, [20, 21, 22, 23], 2, 1),
      chord(1, [24], 1, 1),
      sent('mode', 6, 0),
    ],
    { ...GENERAL_MIDI, voices: 8, parts: 2 },
  ],
  [
    [chord(0, [20], 1, 1), chord(0, [21], 4, 47), chord(0, [80, 97], 1, 1), chord(0, [67, 79], 7, 48)],
    { ...SHIPPED[1]!, voices: 2, full: 'oldest' },
  ],
  [
    [
      chord(4, [20], 1, 0),
      sent('range', 2, 25),
      sent('bend', 2, 0),
      chord(0, [20], 1, 0),
      chord(2, [20], 1, 0, 48),
      sent('pedal', 0, 3),
    ],
    { ...LINDWURM, bendRangeSemitones: 12, pauses: { ...LINDWURM.pauses, afterProgramMicros: 0 } },
  ],
  [[chord(9, [27], 1, 0), sent('program', 0, 1), sent('mode', 0, 0)], { ...SHIPPED[2]!, channels: [0] }],
];

describe('a second fit', () => {
  test('changes nothing, and the first made nothing worse: chords, and all that moves them', () => {
    fc.assert(
      fc.property(steps, instruments, (things, instrument) => {
        expect(again(songOf(things), instrument)).toBeUndefined();
      }),
      { numRuns: 80, seed: 7, examples: FOUND },
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
