import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import type { ProfileDocument } from '../../../src/core/instrument/profile-document.ts';
import { profileFromDocument } from '../../../src/core/instrument/profile-from-document.ts';
import { checkSong } from '../../../src/core/report/check-song.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes, sysEx } from '../../support/song-bytes.ts';

const at = (delta: number, ...bytes: number[]): DeltaEvent => [delta, bytes];
const note = (channel: number, key: number): DeltaEvent[] => [
  at(0, 0x90 | channel, key, 64),
  at(96, 0x80 | channel, key, 64),
];

function checkOn(document: ProfileDocument, events: readonly DeltaEvent[]) {
  const profile = profileFromDocument(document);
  if (!('instrument' in profile)) throw new Error(profile[0]!.what);
  const song = readSong(songBytes([events]));
  return checkSong('a.mid', song, buildTimeline(song), {
    instrument: profile.instrument,
    instrumentName: 'x.toml',
  });
}

/** `code channel count` of each finding. */
const briefly = (document: ProfileDocument, events: readonly DeltaEvent[]) =>
  checkOn(document, events).instrument.findings.map(
    ({ code, channels, count }) => `${code} ${channels.join()} ${count}`,
  );

const PROGRAM = at(0, 0xc0, 0);

describe('what an instrument cannot do', () => {
  const piano: ProfileDocument = {
    instrument: { channels: [1], keys: [21, 108] },
    bank: [{ program: [{ number: 1, name: 'Piano' }] }],
    drums: { channels: [] },
  };

  test('nothing is found in a song that it can play', () => {
    const check = checkOn(piano, [PROGRAM, ...note(0, 60)]);
    expect(check.instrument.findings).toEqual([]);
    expect(check).toMatchObject({ verdict: 'fits', command: ['play', '--instrument', 'x.toml', 'a.mid'] });
  });

  test.each<[string, ProfileDocument, DeltaEvent[], string[]]>([
    [
      'a channel that is not heard',
      piano,
      [PROGRAM, ...note(0, 60), at(0, 0xc4, 0), ...note(4, 60)],
      ['channel-not-heard 5 1'],
    ],
    ['a program', piano, [at(0, 0xc0, 40), ...note(0, 60), ...note(0, 61)], ['program-not-there 1 2']],
    [
      'a bank',
      {
        ...piano,
        bank: [
          { msb: 0, programs: ['A'] },
          { msb: 1, programs: ['B'] },
        ],
      },
      [at(0, 0xb0, 0, 8), PROGRAM, ...note(0, 60)],
      ['bank-not-there 1 1'],
    ],
    ['a key', piano, [PROGRAM, ...note(0, 20), ...note(0, 21), ...note(0, 109)], ['key-out-of-range 1 2']],
    ['notes before a program', piano, note(0, 60), ['no-program 1 1']],
    ['drums where it has none', { drums: { channels: [] } }, note(9, 38), ['drums-elsewhere 10 1']],
    [
      'a drum',
      { drums: { keys: { 38: 'Snap' } } },
      [...note(9, 38), ...note(9, 49)],
      ['drum-key-not-there 10 1'],
    ],
    ['a kit', { drums: { kits: { 1: 'Tin' } } }, [at(0, 0xc9, 25), ...note(9, 38)], ['kit-not-there 10 1']],
    [
      'a melody among drums',
      { drums: { channels: [1] } },
      [PROGRAM, ...note(0, 60)],
      ['drums-for-melody 1 1'],
    ],
    ['…unless no program says that it is one', { drums: { channels: [1] } }, note(0, 60), []],
    [
      'a controller',
      { instrument: { controllers: [7] } },
      [PROGRAM, at(0, 0xb0, 7, 1), at(0, 0xb0, 91, 1), at(0, 0xb0, 91, 2), ...note(0, 60)],
      ['controller-not-followed 1 2'],
    ],
    [
      'a reset',
      { instrument: { resets: [] } },
      [[0, sysEx([0xf0, 0x7e, 0x7f, 9, 1, 0xf7])], PROGRAM, ...note(0, 60), at(0, 0xb0, 121, 0)],
      ['reset-not-followed  1', 'reset-not-followed 1 1'],
    ],
  ])('%s', (_, document, events, expected) => {
    expect(briefly(document, events)).toEqual(expected);
  });

  test('each with what exactly is missing', () => {
    const two: ProfileDocument = {
      ...{
        bank: [
          { lsb: 1, programs: ['A'] },
          { lsb: 2, programs: ['B'] },
        ],
      },
      drums: { keys: { 36: 'Thud' }, kits: { 1: 'Tin' } },
    };
    const text = (...events: DeltaEvent[]) =>
      checkOn(two, events).instrument.findings.map((one) => one.text.replace(/ \(\d+ notes?, .*/, ''));
    expect(text(at(0, 0xb0, 32, 5), at(0, 0xc0, 56), ...note(0, 60))).toEqual([
      'Channel 1: the instrument has no bank for 0/5 (Trumpet)',
    ]);
    expect(text(at(0, 0xb0, 0, 3), at(0, 0xc0, 56), ...note(0, 60))).toEqual([
      'Channel 1: the instrument has no bank for 3/0 (Trumpet)',
    ]);
    expect(text(at(0, 0xb0, 32, 1), at(0, 0xc0, 56), ...note(0, 60))).toEqual([
      'Channel 1: the instrument has no program 57 (Trumpet)',
    ]);
    expect(text(at(0, 0xc9, 25), ...note(9, 38), ...note(9, 20))).toEqual([
      'Channel 10: the instrument has no drum kit Analog Drums',
      'Channel 10: the instrument has no drum sound for Acoustic Snare, key 20',
    ]);
  });

  test('bends whose range is another than was meant, by default or because the parameter is not followed', () => {
    const bend = [PROGRAM, at(0, 0xe0, 0, 0x70), ...note(0, 60)];
    const twelve = [at(0, 0xb0, 101, 0), at(0, 0xb0, 100, 0), at(0, 0xb0, 6, 12)];
    expect(briefly({ instrument: { 'bend-range': 12 } }, bend)).toEqual(['bend-range 1 1']);
    expect(briefly({ instrument: { 'bend-range': 12 } }, [...twelve, ...bend])).toEqual([]);
    expect(briefly({ instrument: { rpn: [] } }, [...twelve, ...bend])).toEqual([
      'bend-range 1 1',
      'parameter-not-followed 1 1',
    ]);
  });

  test('more programs at once than parts: where, for how long, how many notes', () => {
    const events = [
      ...[0, 1, 2].map((channel) => at(0, 0xc0 | channel, channel)),
      at(0, 0x90, 60, 64),
      at(0, 0x91, 62, 64),
      at(192, 0x92, 64, 64),
      at(96, 0x82, 64, 0),
      at(0, 0x80, 60, 0),
      at(0, 0x81, 62, 0),
    ];
    const { instrument, problems, verdict, command } = checkOn({ instrument: { parts: 2 } }, events);
    expect(instrument.findings).toMatchObject([
      { code: 'too-few-parts', count: 1, share: 1 / 3, at: { bar: 1, beat: 3, seconds: 1 } },
    ]);
    expect(instrument.findings[0]!.text).toContain('3 for 2, for 0.5 s');
    expect(problems.map(({ code }) => code)).toEqual(['too-few-parts']);
    expect(verdict).toBe('fits-with-changes');
    expect(command).toEqual(['fit', '--instrument', 'x.toml', '--out', 'a-fitted.mid', 'a.mid']);
    // Where one part ends and another begins at one moment, they are not in use at once.
    const inTurn = [...note(0, 60), ...note(1, 60), at(0, 0x92, 60, 64), at(96, 0x82, 60, 64)];
    const beginsFirst = [
      at(0, 0x90, 60, 64),
      at(96, 0x91, 60, 64),
      at(0, 0x80, 60, 64),
      at(96, 0x81, 60, 64),
    ];
    const programs = [0, 1, 2].map((channel) => at(0, 0xc0 | channel, channel));
    for (const each of [inTurn, beginsFirst])
      expect(briefly({ instrument: { parts: 1 } }, [...programs, ...each])).toEqual([]);
    // Two channels of one program share a part.
    const alike = events.map(
      ([delta, bytes]): DeltaEvent => [delta, [...bytes].length === 2 ? [[...bytes][0]!, 5] : bytes],
    );
    expect(briefly({ instrument: { parts: 1 } }, alike)).toEqual([]);
  });

  test('parts: from the first note that is too much, for as long as it is', () => {
    const programs = [0, 1, 2].map((channel) => at(0, 0xc0 | channel, channel));
    const partsOf = (...events: DeltaEvent[]) =>
      checkOn({ instrument: { parts: 1 } }, [...events]).instrument.findings.find(
        ({ code }) => code === 'too-few-parts',
      );
    // 0.5 s of two, a rest, 0.25 s of three: four notes came when it was so.
    const found = partsOf(
      ...[...programs, at(0, 0x90, 60, 64), at(96, 0x91, 60, 64), at(96, 0x81, 60, 0), at(0, 0x80, 60, 0)],
      ...[at(96, 0x90, 60, 64), at(0, 0x91, 60, 64), at(0, 0x92, 60, 64)],
      ...[at(48, 0x80, 60, 0), at(0, 0x81, 60, 0), at(0, 0x82, 60, 0)],
    );
    expect(found).toMatchObject({ count: 4, at: { bar: 1, beat: 2 } });
    expect(found!.text).toContain('(3 for 1, for 0.8 s)');
    // From the very first row to the last moment of a song; what sounds on while nothing is struck counts too.
    const early = partsOf(
      ...[at(0, 0x90, 60, 64), at(0, 0xc1, 5), at(0, 0x91, 60, 64), at(96, 0x80, 60, 0), at(0, 0x90, 62, 64)],
      ...[at(96, 0x80, 62, 0), at(0, 0x81, 60, 0)],
    );
    expect(early).toMatchObject({ count: 3, at: { bar: 1, beat: 1 } });
    expect(early!.text).toContain('(2 for 1, for 1.0 s)');
    // What sounds keeps its sound when a program comes: only a new note needs another part.
    const alike = [at(0, 0xc0, 5), at(0, 0xc1, 5), at(0, 0x90, 60, 64), at(0, 0x91, 60, 64), at(96, 0xc1, 6)];
    expect(partsOf(...alike, at(96, 0x80, 60, 0), at(0, 0x81, 60, 0))).toBeUndefined();
    expect(partsOf(...alike, at(96, 0x91, 62, 64))).toMatchObject({ count: 1, at: { bar: 1, beat: 3 } });
  });

  test('voices: the tail decides, and what a sound takes', () => {
    const events = [PROGRAM, ...note(0, 60), ...note(0, 62)];
    const voices = (document: ProfileDocument) => checkOn(document, events).polyphony.most;
    expect(voices({})).toBe(1);
    expect(voices({ instrument: { 'release-ms': 100 } })).toBe(2);
    expect(voices({ instrument: { 'voices-each': 3, voices: 8 } })).toBe(3);
    const { polyphony, instrument } = checkOn({ instrument: { 'release-ms': 100, voices: 1 } }, events);
    expect(polyphony.overSeconds).toBeCloseTo(0.1, 6);
    expect(instrument.findings).toMatchObject([{ code: 'too-few-voices', count: 1, share: 0.5 }]);
  });

  test('voices: what is wanted and what there is, with the tail where there is one', () => {
    const chord = [
      PROGRAM,
      at(0, 0x90, 60, 64),
      at(0, 0x90, 64, 64),
      at(96, 0x80, 60, 0),
      at(0, 0x80, 64, 0),
    ];
    const text = (ms: number) =>
      checkOn({ instrument: { 'release-ms': ms, voices: 1 } }, chord).instrument.findings.map(
        (one) => one.text,
      );
    const rest = 'there are 1, too few for 0.5 s: the oldest note is cut (2 notes, 100.0 %, come then).';
    expect(text(0)).toEqual([`2 voices are wanted at bar 1, beat 1, pedals counted; ${rest}`]);
    expect(text(0.001)).toEqual([
      `2 voices are wanted at bar 1, beat 1, pedals counted, each 0.001 ms longer than its key; ${rest}`,
    ]);
  });

  test('voices: of an instrument that takes what was let go first, that only tails are cut is a hint', () => {
    const one = { instrument: { 'release-ms': 100, voices: 1, full: 'released' } } as const;
    const apart = checkOn(one, [PROGRAM, ...note(0, 60), ...note(0, 62)]);
    expect(apart.instrument.findings).toMatchObject([{ code: 'tails-cut', count: 1, share: 0.5 }]);
    expect(apart.instrument.findings[0]!.text).toContain(
      'only what dies away is cut (1 note, 50.0 %, comes then).',
    );
    expect(apart).toMatchObject({ verdict: 'fits', problems: [] });
    const together = checkOn(one, [PROGRAM, at(0, 0x90, 60, 90), ...note(0, 62), at(0, 0x80, 60, 0)]);
    expect(together.instrument.findings).toMatchObject([{ code: 'too-few-voices' }]);
    expect(together.verdict).toBe('fits-with-changes');
  });

  test('General MIDI, which is only assumed, makes no problem of what it lacks', () => {
    const song = readSong(songBytes([note(0, 60)]));
    const check = checkSong('a.mid', song, buildTimeline(song));
    expect(check.instrument).toMatchObject({ given: false, findings: [{ code: 'no-program' }] });
    expect(check).toMatchObject({ verdict: 'fits', problems: [], command: ['play', 'a.mid'] });
  });
});

// A second reckoning, from intervals: a key holds its voice until its tail is over or it is struck again.
test('voices in use are those of the intervals in which keys sound', () => {
  const notes = fc.array(
    fc.record({
      key: fc.integer({ min: 60, max: 64 }),
      gap: fc.integer({ min: 1, max: 40 }),
      length: fc.integer({ min: 1, max: 60 }),
    }),
    { minLength: 1, maxLength: 20 },
  );
  fc.assert(
    fc.property(notes, fc.integer({ min: 0, max: 300 }), (list, tailMs) => {
      const ends = new Map<number, number>();
      const struck: { key: number; on: number; off: number }[] = [];
      let tick = 0;
      for (const { key, gap, length } of list) {
        tick += gap;
        if (tick <= (ends.get(key) ?? -1)) continue;
        struck.push({ key, on: tick, off: tick + length });
        ends.set(key, tick + length);
      }
      const moments = struck
        .flatMap(({ key, on, off }) => [
          { tick: on, bytes: [0x90, key, 64] },
          { tick: off, bytes: [0x80, key, 64] },
        ])
        .sort((a, b) => a.tick - b.tick);
      const events = moments.map(({ tick: when, bytes }, i) =>
        at(when - (moments[i - 1]?.tick ?? 0), ...bytes),
      );
      const song = readSong(songBytes([events]));
      const instrument: Instrument = { ...GENERAL_MIDI, releaseMicros: tailMs * 1000 };
      const { polyphony } = checkSong('a.mid', song, buildTimeline(song), { instrument });
      const micros = (ticks: number) => Math.round((ticks * 500_000) / 96);
      const spans = struck.map(({ key, on, off }) => {
        const again =
          struck.find((other) => other.key === key && other.on > on)?.on ?? Number.POSITIVE_INFINITY;
        return { from: micros(on), to: Math.min(micros(off) + tailMs * 1000, micros(again)) };
      });
      const most = Math.max(
        ...spans.map(({ from }) => spans.filter((span) => span.from <= from && from < span.to).length),
      );
      expect(polyphony.most).toBe(most);
    }),
    { numRuns: 60 },
  );
});

describe('what looks like drums elsewhere than on channel 10', () => {
  const named = (name: string): DeltaEvent =>
    at(0, 0xff, 0x03, name.length, ...Array.from(name, (letter) => letter.charCodeAt(0)));
  /** Sixteen short strokes on three keys. */
  const beat = (channel: number, keys = [36, 38, 42], ticks = 24): DeltaEvent[] =>
    Array.from({ length: 16 }, (_, n) => n).flatMap((n) => [
      at(0, 0x90 | channel, keys[n % keys.length]!, 90),
      at(ticks, 0x80 | channel, keys[n % keys.length]!, 64),
    ]);
  const hintsOf = (...tracks: DeltaEvent[][]) => {
    const song = readSong(songBytes(tracks));
    const { instrument, verdict, problems } = checkSong('a.mid', song, buildTimeline(song), {
      instrumentName: 'x.toml',
    });
    expect(verdict).toBe('fits');
    expect(problems).toEqual([]);
    return instrument.findings.map(({ code, text }) => `${code}: ${text}`);
  };

  test('is told with its evidence, and is no problem', () => {
    expect(hintsOf([named('Drum kit'), PROGRAM, ...beat(0)], [at(0, 0xc1, 0), ...note(1, 60)])).toEqual([
      'looks-like-drums: Channel 1: these may be drums, on a channel that has none: its track is called "Drum kit" (16 notes, 94 %, from bar 1, beat 1).',
    ]);
    // A bank of drums where General MIDI 2 (RP-024) has none.
    expect(hintsOf([[0, [0xb3, 0, 120]], at(0, 0xc3, 0), ...note(3, 60)])).toEqual([
      'looks-like-drums: Channel 4: these may be drums, on a channel that has none: bank 120 (1 note, 100 %, from bar 1, beat 1).',
    ]);
  });

  test.each<[string, DeltaEvent[][]]>([
    ['on channel 10', [[named('Drums'), ...beat(9)]]],
    ['by name alone: a melody above the drums', [[named('Drums'), PROGRAM, ...beat(0, [84, 86, 88])]]],
    ['by name alone: long notes', [[named('Drums'), PROGRAM, ...beat(0, [36, 38, 42], 96)]]],
    ['by name alone: one key', [[named('Drums'), PROGRAM, ...beat(0, [36])]]],
    ['by keys alone', [[named('Bass'), PROGRAM, ...beat(0)]]],
    ['steel drums', [[named('Steel drums'), PROGRAM, ...beat(0)]]],
    ['a taiko, which is a program of its own', [[named('Drums'), at(0, 0xc0, 116), ...beat(0)]]],
    ['a track of several channels', [[named('Drums'), PROGRAM, at(0, 0xc1, 0), ...beat(0), ...note(1, 60)]]],
  ])('nothing is said of it: %s', (_, tracks) => {
    expect(hintsOf(...tracks)).toEqual([]);
  });
});
