import { describe, expect, test } from 'vitest';
import type { CheckOptions } from '../../../src/core/report/check-options.ts';
import { checkSong } from '../../../src/core/report/check-song.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, meta, songBytes, sysEx, tempo } from '../../support/song-bytes.ts';

function checked(tracks: readonly (readonly DeltaEvent[])[], options: Partial<CheckOptions> = {}) {
  const song = readSong(songBytes(tracks));
  return checkSong('a.mid', song, buildTimeline(song), options);
}

const at = (delta: number, ...bytes: number[]): DeltaEvent => [delta, bytes];
const times = <T>(count: number, make: (i: number) => T): T[] =>
  Array.from({ length: count }, (_, i) => make(i));

/** A beat is 96 ticks, 0.5 s. */
const chord = (keys: number, channel = 0): DeltaEvent[] => [
  ...times(keys, (i) => at(0, 0x90 | channel, 40 + i, 64)),
  ...times(keys, (i) => at(i === 0 ? 96 : 0, 0x90 | channel, 40 + i, 0)),
];

describe('facts', () => {
  test('length, bars, tempo range, meters and keys as the SMF meta events say (SMF 1.1, 3.1)', () => {
    const { song } = checked([
      [
        [0, meta(0x03, Buffer.from('Two Meters'))],
        [0, tempo(500_000)],
        [0, meta(0x58, [4, 2, 24, 8])],
        [0, meta(0x59, [0xfe, 1])],
        [0, meta(0x06, Buffer.from('A'))],
        [0, meta(0x05, Buffer.from('la'))],
        [384, meta(0x58, [3, 2, 24, 8])],
        [0, tempo(1_000_000)],
        [288, meta(0x01, [])],
      ],
    ]);
    expect(song).toMatchObject({
      title: 'Two Meters',
      division: '96 ticks a quarter',
      durationSeconds: 2 + 3,
      bars: 2,
      tempo: { slowest: 60, fastest: 120, changes: 1 },
      meters: ['4/4', '3/4'],
      keys: ['G minor'],
      markers: 1,
      lyrics: 1,
    });
  });

  test('divisions by frames, 29.97 where 29 is written (SMF 1.1, 2.1); the port that notes ask for', () => {
    const facts = (division: number) => {
      const song = readSong(
        songBytes([[[0, meta(0x21, [3])], ...chord(1)], [[0, meta(0x21, [1])]]], { division }),
      );
      return checkSong('a.mid', song, buildTimeline(song)).song;
    };
    expect([facts(0xe350).division, facts(0xe728).division]).toEqual([
      '29.97 frames a second, 80 ticks a frame',
      '25 frames a second, 40 ticks a frame',
    ]);
    expect(facts(96)).toMatchObject({ format: 1, tracks: 2, ports: [3], markers: 0, lyrics: 0, events: 2 });
  });

  test('tempo to a hundredth; each meter and key once', () => {
    const { song } = checked([
      [
        [0, tempo(333_333)],
        [96, tempo(700_000)],
        [96, tempo(333_333)],
        [0, meta(0x58, [3, 2, 24, 8])],
        [0, meta(0x59, [2, 0])],
        [288, meta(0x58, [2, 1, 24, 8])],
        [192, meta(0x58, [3, 2, 24, 8])],
        [0, meta(0x59, [2, 0])],
        [288, meta(0x01, [])],
      ],
    ]);
    expect(song.tempo).toEqual({ slowest: 85.71, fastest: 180, changes: 2 });
    expect([song.keys, song.meters]).toEqual([['D major'], ['4/4', '3/4', '2/2']]);
  });

  test('a channel: programs with bank and General MIDI name, keys, controllers, bars, bytes', () => {
    const { channels } = checked([
      [
        at(0, 0xb2, 0, 8),
        at(0, 0xb2, 32, 1),
        at(0, 0xc2, 6),
        at(384, 0x92, 48, 64),
        at(0, 0x92, 60, 64),
        at(96, 0x82, 48, 0),
        at(0, 0xe2, 0, 64),
        at(384, 0x82, 60, 0),
        at(0, 0xc9, 0),
      ],
    ]);
    expect(channels).toEqual([
      {
        channel: 3,
        programs: [{ program: 7, bankMsb: 8, bankLsb: 1, name: 'Harpsichord' }],
        notes: 2,
        lowestKey: 48,
        highestKey: 60,
        mostNotesAtOnce: 2,
        controllers: [
          { number: 0, name: 'Bank Select', count: 1 },
          { number: 32, name: 'Bank Select (fine)', count: 1 },
        ].map((one) => expect.objectContaining({ number: one.number, count: one.count })),
        bends: 1,
        pressures: 0,
        firstBar: 1,
        lastBar: 3,
        bytes: 3 + 3 + 2 + 5 * 3,
      },
      expect.objectContaining({ channel: 10, notes: 0, lowestKey: null, highestKey: null }),
    ]);
    expect(channels[1]!.programs[0]!.name).toBe('Standard Drums');
  });
});

test('each sound of a channel once, in the order it came; no other controller is a bank', () => {
  const { channels } = checked([
    [
      at(0, 0xb2, 0, 8),
      at(0, 0xb2, 7, 99),
      at(0, 0xc2, 6),
      at(0, 0xc2, 5),
      at(0, 0xb2, 32, 1),
      at(0, 0xb2, 33, 98),
      at(0, 0xc2, 6),
      at(0, 0xb2, 0, 0),
      at(0, 0xc2, 6),
      at(0, 0xb2, 0, 8),
      at(0, 0xb2, 32, 0),
      at(0, 0xc2, 6),
      at(0, 0xa2, 60, 1),
      at(0, 0xd2, 1),
    ],
  ]);
  const [{ programs, pressures, bends, bytes }] = channels as [(typeof channels)[0]];
  expect(programs.map((one) => [one.program, one.bankMsb, one.bankLsb])).toEqual([
    [7, 8, 0],
    [6, 8, 0],
    [7, 8, 1],
    [7, 0, 1],
  ]);
  expect([pressures, bends, bytes]).toEqual([2, 0, 7 * 3 + 5 * 2 + 3 + 2]);
});

describe('polyphony', () => {
  test('counts keys that only the damper holds, until it comes up', () => {
    const { polyphony } = checked([
      [
        at(0, 0xb0, 64, 127),
        ...times(5, (i) => [at(0, 0x90, 60 + i, 64), at(10, 0x80, 60 + i, 0)]).flat(),
        at(50, 0xb0, 64, 0),
        at(0, 0x90, 80, 64),
        at(96, 0x80, 80, 0),
      ],
    ]);
    expect(polyphony.most).toBe(5);
    expect(polyphony.curve[0]).toBeGreaterThan(0);
    expect(polyphony.curve.at(-1)).toBe(1);
  });

  test('Sostenuto holds what was down when it went down, and nothing struck later (MIDI 1.0, Table III)', () => {
    const { polyphony } = checked([
      [
        at(0, 0x90, 60, 64),
        at(0, 0xb0, 66, 127),
        at(10, 0x90, 62, 64),
        at(10, 0x80, 60, 0),
        at(0, 0x80, 62, 0),
        at(10, 0x90, 64, 64),
        at(10, 0x80, 64, 0),
        at(0, 0xb0, 66, 0),
      ],
    ]);
    expect(polyphony.most).toBe(2);
  });

  test('a note-off and a note-on at one moment do not sound together', () => {
    const { polyphony } = checked([
      [at(0, 0x90, 60, 64), at(96, 0x90, 62, 64), at(0, 0x80, 60, 0), at(96, 0x80, 62, 0)],
    ]);
    expect(polyphony.most).toBe(1);
  });

  test('25 keys are too many for 24 voices: which channel to leave out, and for how long it is too much', () => {
    const check = checked([chord(20), chord(5, 1)]);
    expect(check.polyphony).toMatchObject({ voices: 24, most: 25, overSeconds: 0.5 });
    expect(check.verdict).toBe('fits-with-changes');
    expect(check.problems.map(({ code }) => code)).toEqual(['voices']);
    expect(check.command).toEqual(['play', '--mute', '2', 'a.mid']);
    expect(checked([chord(20), chord(5, 1)], { voices: 25 }).verdict).toBe('fits');
  });

  test('where muting two parts is not enough, the song does not fit', () => {
    const check = checked(
      times(8, (i) => chord(3, i)),
      { voices: 16 },
    );
    expect(check.verdict).toBe('does-not-fit');
    expect(check.changes).toEqual([]);
  });
});

describe('notes and pedals', () => {
  test('never released, struck twice, without length, released without a strike, pedal left down', () => {
    const check = checked([
      [
        at(0, 0x90, 60, 64),
        at(10, 0x90, 60, 64),
        at(10, 0x80, 60, 0),
        at(10, 0x91, 62, 64),
        at(0, 0x81, 62, 0),
        at(10, 0x82, 64, 0),
        at(10, 0xb3, 64, 127),
      ],
    ]);
    expect(check.notes).toEqual({
      count: 3,
      neverReleased: 1,
      struckTwice: 1,
      withoutLength: 1,
      releasedWithoutNote: 1,
      pedalsLeftDown: [4],
    });
    expect(check.problems.map(({ code }) => code)).toEqual(['finding', 'pedal-left-down']);
    expect(check.verdict).toBe('fits');
  });
});

describe('notes one by one (+ struck, - released, a beat between; = without one)', () => {
  test.each([
    ['+-+-', { count: 2 }],
    ['++--', { count: 2, struckTwice: 1 }],
    ['+++---', { count: 3, struckTwice: 2 }],
    ['++-+--', { count: 3, struckTwice: 2 }],
    ['-+-', { count: 1, releasedWithoutNote: 1 }],
    ['--+-+-', { count: 2, releasedWithoutNote: 2 }],
    ['+--+-', { count: 2, releasedWithoutNote: 1 }],
    ['+', { count: 1, neverReleased: 1 }],
    ['+-+', { count: 2, neverReleased: 1 }],
    ['+=-', { count: 1, withoutLength: 1 }],
    ['+=-+-', { count: 2, withoutLength: 1 }],
  ])('%s', (strokes, meant) => {
    // The same on the lowest key of the first channel and the highest of the last.
    for (const [channel, key] of [
      [0, 0],
      [15, 127],
    ] as const) {
      const events = strokes.replaceAll('=', '').split('');
      const together = strokes.indexOf('=') - 1;
      const { notes } = checked([
        events.map((stroke, n) =>
          at(n === together + 1 ? 0 : 96, (stroke === '+' ? 0x90 : 0x80) | channel, key, 64),
        ),
      ]);
      const none = { neverReleased: 0, struckTwice: 0, withoutLength: 0, releasedWithoutNote: 0 };
      expect(notes).toEqual({ ...none, pedalsLeftDown: [], ...meant });
    }
  });
});

describe('SysEx and ports', () => {
  const GM_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
  const VOLUME = [0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, 0x60, 0xf7];
  const DUMP = [0xf0, 0x7d, ...times(300, () => 1), 0xf7];

  test('a General MIDI reset is seen, a maker’s own is counted as held back', () => {
    const { sysEx: found } = checked([
      [
        [0, sysEx(GM_ON)],
        [0, sysEx(VOLUME)],
        [0, sysEx(DUMP)],
      ],
    ]);
    expect(found).toEqual({ messages: 3, heldBack: 1, longestBytes: 303, reset: 'gm-on' });
    expect(checked([chord(1)]).sysEx.reset).toBeNull();
  });

  test('parts on two ports are more than one wire has channels for', () => {
    const check = checked([
      [[0, meta(0x21, [0])], ...chord(1)],
      [[0, meta(0x21, [1])], ...chord(1)],
    ]);
    expect(check.song.ports).toEqual([0, 1]);
    expect(check.verdict).toBe('does-not-fit');
    expect(check.problems.map(({ code }) => code)).toEqual(['ports']);
  });
});

describe('the wire', () => {
  test('sixteen notes at once, worked by hand: 33 bytes, 10.56 ms, in any order', () => {
    const { wire } = checked([chord(16)]);
    expect(wire.boundMicros).toBe(10_560);
    expect(wire.fileOrder.worstOnsetLatenessMicros).toBe(10_560);
    expect(wire.packed.worstOnsetLatenessMicros).toBe(10_560);
    // Note k (from 1) ends after 1 + 2k bytes.
    const squares = times(16, (k) => ((3 + 2 * k) * 320) ** 2).reduce((a, b) => a + b, 0);
    expect(wire.packed.rmsOnsetLatenessMicros).toBeCloseTo(Math.sqrt(squares / 16), 6);
    // 33 bytes in the first 100 ms, and 32 more at the end (velocity-0 offs): 10.56 ms of 100.
    expect(wire.packed.peakLoad100ms).toBeCloseTo(0.1056, 9);
    expect(wire.packed.bytes).toBe(65);
    expect(wire.thinned).toBeNull();
  });

  test('every message whole where the interface encodes for itself: 15.36 ms', () => {
    const traits = { baud: 31_250, bitsPerByte: 10, runningStatus: 'device' as const, gapMicros: 0 };
    const { wire } = checked([chord(16)], { traits });
    expect(wire.boundMicros).toBe(15_360);
    expect(wire.runningStatus).toBe(false);
  });

  test('set up between two notes of one moment fits; in the file’s order it needs a change, which is named and mends it', () => {
    const setup = times(30, (i) => at(0, 0xb0, 70 + (i % 10), i));
    const notes = [
      at(0, 0x90, 60, 64),
      ...setup,
      at(0, 0x90, 64, 64),
      at(96, 0x80, 60, 0),
      at(0, 0x80, 64, 0),
    ];
    const check = checked([[at(96, 0xc0, 5), ...notes]]);
    expect(check.verdict).toBe('fits');
    expect(check.command).toEqual(['play', 'a.mid']);
    expect(check.wire.packed.worstOnsetLatenessMicros).toBeLessThan(2000);
    const asked = checked([[at(96, 0xc0, 5), ...notes]], { setupFirst: false });
    expect(asked.verdict).toBe('fits-with-changes');
    expect(asked.problems.map(({ code }) => code)).toEqual(['wire-late']);
    expect(asked.command).toEqual(['play', '--no-setup-first', '--thin', '0', 'a.mid']);
    expect(asked.wire.changed!.worstOnsetLatenessMicros).toBeLessThan(10_000);
  });

  test('a chord that no order can send in 20 ms fits only with early notes', () => {
    const check = checked([chord(24), chord(16, 1)], { voices: 64 });
    expect(check.wire.boundMicros).toBe((1 + 48 + 1 + 32) * 320);
    expect(check.command).toEqual(['play', '--early', '20', 'a.mid']);
    expect(check.wire.changed!.worstOnsetDistanceMicros).toBeLessThan(check.wire.boundMicros / 2);
  });

  test.each<[Partial<CheckOptions>, string[]]>([
    [{}, []],
    [{ setupFirst: false }, ['--no-setup-first']],
    [{ thin: true, tolerance: 4 }, ['--thin', '4']],
    [{ settleMicros: 250_000 }, ['--settle', '250']],
    [{ settleMicros: 0 }, ['--settle', '0']],
    [{ songPort: 0 }, ['--song-port', '0']],
    [{ earlyMicros: 2500 }, ['--early', '2.5']],
    [{ instrumentName: 'x.toml' }, ['--instrument', 'x.toml']],
    [
      { earlyMicros: 1000, songPort: 1, allowSysEx: true, instrumentName: 'x' },
      ['--instrument', 'x', '--allow-sysex', '--song-port', '1', '--early', '1'],
    ],
  ])('asked with %j', (options, flags) => {
    expect(checked([[at(0, 0xc0, 1), ...chord(2)]], options).command).toEqual(['play', ...flags, 'a.mid']);
  });

  test('what the check was asked with is part of the command that plays it so', () => {
    const { command } = checked([chord(2)], { earlyMicros: 5000, allowSysEx: true });
    expect(command).toEqual(['play', '--allow-sysex', '--early', '5', 'a.mid']);
  });

  test('thinned controllers are told by the channel as people count', () => {
    const swell = times(100, (i) => at(1, 0xb2, 7, i));
    const { wire } = checked([[...swell, ...chord(2)]], { thin: true, tolerance: 4 });
    expect(wire.thinned!.dropped).toBeGreaterThan(50);
    expect(wire.thinned!.reductions.map(({ channel }) => channel)).toEqual([3]);
  });

  test('the load curve has its peak where the chord is', () => {
    const quiet = [at(0, 0x90, 60, 64), at(96 * 8, 0x80, 60, 0)];
    const { wire } = checked([[...quiet, ...chord(16)]], { curvePoints: 9 });
    expect(wire.curve.indexOf(Math.max(...wire.curve))).toBe(8);
  });
});

test('a song without a single message fits', () => {
  const check = checked([[[0, meta(0x01, [])]]]);
  expect(check.wire.packed).toMatchObject({ leadInMicros: 0, bytes: 0, meanLoad: 0 });
  expect(check).toMatchObject({ verdict: 'fits', problems: [], changes: [], channels: [] });
});
