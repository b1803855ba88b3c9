import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { ResetKind } from '../../../src/core/instrument/instrument.ts';
import { channelRanges, type Seat } from '../../../src/core/instrument/orchestra.ts';
import { checkSong } from '../../../src/core/report/check-song.ts';
import { renderReport } from '../../../src/core/report/render-report.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes, sysEx } from '../../support/song-bytes.ts';
import { songOfChannels } from '../../support/song-of-channels.ts';

const PIANO = {
  ...GENERAL_MIDI,
  name: 'Piano',
  voices: 2,
  parts: 1,
  channels: [0, 1],
  keys: { low: 21, high: 108 },
};
const BOX = { ...GENERAL_MIDI, name: 'Box', drums: { ...GENERAL_MIDI.drums, keys: new Map([[36, 'Thud']]) } };
const SEATS: readonly Seat[] = [
  { port: 'a', instrument: PIANO, instrumentName: 'piano', channels: [0, 1, 2] },
  { port: 'b', instrument: BOX, instrumentName: 'box', channels: [9] },
];
const MAP = '1-3=a@piano,10=b@box';

/** Three keys at once on channel 1, one below the piano on channel 2, a melody the piano does not hear, two drums. */
const EVENTS: readonly DeltaEvent[] = [
  [0, [0xc0, 0]],
  [0, [0xc1, 0]],
  [0, [0xc2, 0]],
  [0, [0xc9, 0]],
  ...[60, 64, 67].map((key): DeltaEvent => [0, [0x90, key, 90]]),
  [0, [0x91, 12, 90]],
  [0, [0x92, 60, 90]],
  [0, [0x99, 36, 90]],
  [0, [0x99, 38, 90]],
  [96, [0xb0, 123, 0]],
  ...[60, 64, 67].map((key): DeltaEvent => [0, [0x80, key, 64]]),
  [0, [0x81, 12, 64]],
  [0, [0x82, 60, 64]],
  [0, [0x89, 36, 64]],
  [0, [0x89, 38, 64]],
];

function check(bytes: Uint8Array, options: Parameters<typeof checkSong>[3]) {
  const song = readSong(bytes);
  return checkSong('a.mid', song, buildTimeline(song), options);
}

describe('several instruments', () => {
  const all = check(songBytes([EVENTS]), { seats: SEATS, map: MAP });

  test('each finding says whose it is, and is that of the song that has only its channels', () => {
    const alone = SEATS.flatMap(({ port, instrument, instrumentName, channels }) =>
      check(songBytes([songOfChannels(EVENTS, channels)]), {
        instrument,
        instrumentName,
      }).instrument.findings.map((finding) => ({
        ...finding,
        port,
        text: `${port} (${instrument.name}): ${finding.text}`,
      })),
    );
    expect(all.instrument.findings).toEqual(alone);
    expect(
      all.instrument.findings.map(({ port, code, channels }) => `${port} ${code} ${channels.join()}`),
    ).toEqual([
      'a channel-not-heard 3',
      'a key-out-of-range 2',
      'a too-few-voices ',
      'b drum-key-not-there 10',
    ]);
    expect(all.problems.map(({ text }) => text)).toEqual(alone.map(({ text }) => text));
  });

  test('each channel has the names of its own instrument', () => {
    const tin = { ...BOX, drums: { ...BOX.drums, kits: new Map([[0, 'Tin']]) } };
    const seats = SEATS.map((seat) => (seat.port === 'b' ? { ...seat, instrument: tin } : seat));
    const { channels } = check(songBytes([EVENTS]), { seats, map: MAP });
    expect(channels.map(({ channel, programs }) => [channel, programs[0]!.name])).toEqual([
      ...[1, 2, 3].map((channel) => [channel, 'Acoustic Grand Piano']),
      [10, 'Tin'],
    ]);
  });

  test('voices are counted apart, and the fullest stands for all', () => {
    expect(
      all.instruments.map(({ port, channels, mostVoices, voices }) => [port, channels, mostVoices, voices]),
    ).toEqual([
      ['a', [1, 2, 3], 4, 2],
      ['b', [10], 2, 24],
    ]);
    expect(all.polyphony).toMatchObject({ voices: 2, most: 4 });
    expect(all.instrument).toMatchObject({ name: 'Piano, Box', given: true, parts: 17 });
  });

  test('the command that makes it fit has the map, and so has the one that plays what fits', () => {
    expect(all).toMatchObject({
      verdict: 'fits-with-changes',
      command: ['fit', '--map', MAP, '--out', 'a-fitted.mid', 'a.mid'],
    });
    const well = check(
      songBytes([
        [
          [0, [0xc0, 0]],
          [0, [0x90, 60, 90]],
          [96, [0x80, 60, 64]],
        ],
      ]),
      { seats: SEATS, map: MAP },
    );
    expect(well).toMatchObject({ verdict: 'fits', command: ['play', '--map', MAP, 'a.mid'] });
  });

  test('where nobody named them, channels to mute are those of the one that has too few voices, of all in one flag', () => {
    const small = { ...GENERAL_MIDI, voices: 2 };
    const seats = [
      { port: 'a', instrument: small, instrumentName: undefined, channels: [0, 1] },
      { port: 'b', instrument: small, instrumentName: undefined, channels: [8, 9] },
    ];
    const chord = (...notes: readonly (readonly [channel: number, key: number])[]): DeltaEvent[] => [
      ...notes.map(([channel, key]): DeltaEvent => [0, [0x90 | channel, key, 90]]),
      ...notes.map(([channel, key], n): DeltaEvent => [n === 0 ? 96 : 0, [0x80 | channel, key, 64]]),
    ];
    const flags = (...events: DeltaEvent[]) =>
      check(songBytes([events]), { seats, map: MAP }).changes.map((change) => change.flags);
    const atA = [
      [0, 60],
      [0, 64],
      [1, 67],
    ] as const;
    const atB = [
      [8, 60],
      [9, 36],
      [9, 38],
    ] as const;
    expect(flags(...chord(...atA, [9, 36]))).toEqual([['--mute', '2']]);
    expect(flags(...chord(...atA, ...atB))).toEqual([['--mute', '2,9']]);
    // Muting cannot help where a channel alone has too many.
    expect(flags(...chord([8, 60], [8, 64], [8, 67]))).toEqual([['--mute', '9']]);
  });

  test('a reset that one of them follows is not held against the others', () => {
    const reset: DeltaEvent = [0, sysEx([0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7])];
    const song = songBytes([
      [
        reset,
        [0, [0xc0, 0]],
        [0, [0x90, 60, 90]],
        [0, [0x99, 36, 90]],
        [96, [0x80, 60, 64]],
        [0, [0x89, 36, 64]],
      ],
    ]);
    const [a, b] = SEATS as [Seat, Seat];
    const knowing = (seat: Seat, ...resets: ResetKind[]): Seat => ({
      ...seat,
      instrument: { ...seat.instrument, resets: new Set(resets) },
    });
    const findings = (seats: readonly Seat[]) =>
      check(song, { seats, map: MAP }).instrument.findings.map(({ port, code }) => `${port} ${code}`);
    expect(findings([knowing(a), knowing(b, 'gm1')])).toEqual([]);
    expect(findings([knowing(a, 'gm2'), knowing(b)])).toEqual([
      'a reset-not-followed',
      'b reset-not-followed',
    ]);
  });

  test('the change that makes it fit is told of all of them', () => {
    expect(all.changes.at(-1)!.text).toMatch(/^wirepit fit writes the song anew for these instruments;/);
  });

  test('two wires carry what one cannot: notes are late on neither', () => {
    const chord = (status: number): DeltaEvent[] => [
      ...Array.from({ length: 18 }, (_, n): DeltaEvent => [0, [0x90 | status, 40 + n, 90]]),
    ];
    const offs = [0, 9].flatMap((channel) =>
      Array.from({ length: 18 }, (_, n): DeltaEvent => [n === 0 ? 96 : 0, [0x80 | channel, 40 + n, 64]]),
    );
    const bytes = songBytes([[...chord(0), ...chord(9), ...offs]]);
    const two = SEATS.map((seat) => ({ ...seat, instrument: GENERAL_MIDI, instrumentName: undefined }));
    const one = check(bytes, {});
    const apart = check(bytes, { seats: two, map: MAP });
    expect(one.problems.map(({ code }) => code)).toContain('wire-late');
    expect(apart.problems.map(({ code }) => code)).not.toContain('wire-late');
    expect(['a', 'b']).toContain(apart.wire.port);
  });

  test('the report names each with its port and channels', () => {
    const lines = renderReport(all, { ascii: true, clean: (text) => text, mostFindings: 12 });
    const polyphony =
      /^Polyphony at a: at most 4 voices at once \(1:1, pedals included\); 2 voices: too few for [\d.]+ s$/;
    expect(lines.some((line) => polyphony.test(line))).toBe(true);
    expect(lines).toContain('Instrument at b: Box, channel 10, 16 parts');
  });
});

test('channels as people write them', () => {
  expect(channelRanges([0, 1, 2, 8, 10, 11])).toBe('1-3,9,11-12');
  expect(channelRanges([])).toBe('');
});
