import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { RESET_BY_121 } from '../../../src/core/schedule/rest-values.ts';
import { differences } from '../../support/channel-rest.ts';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { type RunOptions, VirtualRun } from '../../support/virtual-run.ts';
import { WireReader } from '../../support/wire-reader.ts';

const S = 1_000_000;

/** What is sent at the start of play at a song time, on a receiver that knows nothing. */
function chaseTo(micros: number, messages: TimedBytes[], options: RunOptions = {}): string[] {
  const run = new VirtualRun(planOf(timelineOf([...messages, [9 * S, 0x90, 60, 1]])), options);
  run
    .send({ kind: 'seek', micros })
    .send({ kind: 'play' })
    .to(0.2 * S);
  return run.sent.filter(({ song }) => song < 0).map(({ bytes }) => toHex(bytes));
}

describe('the fewest bytes that reach the state', () => {
  test('only the last value of a controller, only what was said', () => {
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 7, 1],
        [1, 0xb0, 7, 2],
        [2, 0xb3, 10, 9],
      ]),
    ).toEqual(['B0 07 02', 'B3 0A 09']);
  });

  test('the first program too, after a General MIDI reset: not every module heeds the reset', () => {
    const sent = chaseTo(5 * S, [
      [0, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
      [S, 0xc3, 0],
    ]);
    expect(sent).toEqual(['F0 7E 7F 09 01 F7', 'C3 00']);
  });

  test('no reset of the controllers that the song had not, be it ever so short: it resets more than we know of', () => {
    const moved: TimedBytes[] = [...RESET_BY_121.map(([n]): TimedBytes => [0, 0xb0, n, 5]), [0, 0xd0, 5]];
    const atRest: TimedBytes[] = [
      ...RESET_BY_121.map(([n, value]): TimedBytes => [3 * S, 0xb0, n, value]),
      [3 * S, 0xd0, 0],
    ];
    const messages = (reset: boolean): TimedBytes[] => [
      ...moved,
      ...(reset ? [[3 * S, 0xb0, 121, 0] as TimedBytes] : []),
      ...atRest,
      [9 * S, 0x90, 60, 1],
    ];
    const resets = (reset: boolean): number => {
      const run = new VirtualRun(planOf(timelineOf(messages(reset))));
      run.send({ kind: 'play' }).to(2 * S);
      run.send({ kind: 'seek', micros: 5 * S }).to(2.5 * S);
      return run.sent.filter(({ bytes }) => bytes[1] === 121).length;
    };
    expect([resets(true), resets(false)]).toEqual([1, 0]);
  });

  test('bank and program back to back, bank first (MIDI 1.0, p. 13)', () => {
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 0, 1],
        [1, 0xb0, 32, 2],
        [2, 0xc0, 3],
      ]),
    ).toEqual(['B0 00 01', 'B0 20 02', 'C0 03']);
  });

  test('a bank chosen after the program follows it, untaken', () => {
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 0, 1],
        [2, 0xc0, 3],
        [3, 0xb0, 0, 9],
      ]),
    ).toEqual(['B0 00 01', 'C0 03', 'B0 00 09']);
  });

  test('MSB before LSB, or after it where the song had it so: a new MSB sets the LSB to 0 (p. 12)', () => {
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 7, 1],
        [1, 0xb0, 39, 2],
      ]),
    ).toEqual(['B0 07 01', 'B0 27 02']);
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 39, 2],
        [1, 0xb0, 7, 1],
      ]),
    ).toEqual(['B0 27 02', 'B0 07 01']);
  });

  test('registered parameters: each one’s final data, then the selection (p. 17–18)', () => {
    const bendRange: TimedBytes[] = [
      [0, 0xb0, 101, 0],
      [0, 0xb0, 100, 0],
      [0, 0xb0, 6, 12],
    ];
    expect(chaseTo(5 * S, bendRange)).toEqual(['B0 65 00', 'B0 64 00', 'B0 06 0C']);
    expect(chaseTo(5 * S, [...bendRange, [1, 0xb0, 101, 127], [1, 0xb0, 100, 127]])).toEqual([
      'B0 65 00',
      'B0 64 00',
      'B0 06 0C',
      'B0 65 7F',
      'B0 64 7F',
    ]);
  });

  test('data entry into a null parameter is lost, as it would have been', () => {
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 101, 127],
        [0, 0xb0, 100, 127],
        [1, 0xb0, 6, 5],
      ]),
    ).toEqual(['B0 65 7F', 'B0 64 7F']);
  });

  test('increments are replayed on their data', () => {
    const steps: TimedBytes[] = [
      [1, 0xb0, 96, 0],
      [2, 0xb0, 96, 0],
      [3, 0xb0, 97, 0],
      [4, 0xb0, 96, 0],
    ];
    expect(chaseTo(5 * S, [[0, 0xb0, 101, 0], [0, 0xb0, 100, 1], [0, 0xb0, 6, 64], ...steps])).toEqual([
      'B0 65 00',
      'B0 64 01',
      'B0 06 40',
      'B0 60 00',
      'B0 60 00',
    ]);
  });

  test('CC121 where it is shorter than what it does', () => {
    expect(
      chaseTo(5 * S, [
        [0, 0xb0, 1, 9],
        [1, 0xb0, 121, 0],
        [2, 0xb0, 11, 90],
      ]),
    ).toEqual(['B0 79 00', 'B0 0B 5A']);
  });

  test('seeking again to the same place sends no state again', () => {
    const run = new VirtualRun(
      planOf(
        timelineOf([
          [0, 0xc0, 3],
          [0, 0xb0, 64, 127],
          [0, 0xe0, 1, 2],
          [S, 0x90, 60, 1],
          [3 * S, 0x80, 60, 0],
        ]),
      ),
    );
    run
      .send({ kind: 'play' })
      .to(0.5 * S)
      .send({ kind: 'seek', micros: 0.2 * S })
      .to(0.6 * S);
    const from = run.sent.length;
    run.send({ kind: 'seek', micros: 0.4 * S }).to(0.7 * S);
    // Pedal and bend were brought to rest by the silence; the program was not touched.
    expect(run.sent.slice(from).map(({ bytes }) => toHex(bytes))).toEqual([
      'B0 40 00',
      'E0 00 40',
      'B0 7B 00',
      'B0 40 7F',
      'E0 01 02',
    ]);
  });

  test('what the song sets before a channel’s first note is not brought to rest for its beginning', () => {
    const song: TimedBytes[] = [
      [0, 0xc0, 3],
      [0, 0xb0, 7, 50],
      [1000, 0x90, 60, 1],
      [S, 0xb0, 10, 9],
      [3 * S, 0x80, 60, 0],
    ];
    const run = new VirtualRun(planOf(timelineOf(song))).send({ kind: 'play' }).to(2 * S);
    const from = run.sent.length;
    run
      .send({ kind: 'stop' })
      .send({ kind: 'play' })
      .to(2.5 * S);
    const lines = run.sent.slice(from).filter(({ song: at }) => at < 0);
    // Pan was set while a note could hear it: it goes back to the middle. Program and volume need not.
    expect(lines.map(({ bytes }) => toHex(bytes))).toEqual(['80 3C 40', 'B0 7B 00', 'B0 78 00', 'B0 0A 40']);
  });
});

describe('SysEx', () => {
  const gmOn: TimedBytes = [0, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
  const masterVolume = (at: number, msb: number): TimedBytes => [
    at,
    0xf0,
    0x7f,
    0x7f,
    0x04,
    0x01,
    0x00,
    msb,
    0xf7,
  ];

  test('a reset in the skipped part goes first, settles, then the rest follows', () => {
    const song: TimedBytes[] = [gmOn, [1, 0xb0, 7, 100], [2, 0xc0, 8], [9 * S, 0x90, 60, 1]];
    const run = new VirtualRun(planOf(timelineOf(song)));
    run
      .send({ kind: 'seek', micros: 5 * S })
      .send({ kind: 'play' })
      .to(S);
    // 6 bytes, 1.92 ms, then 100 ms. Volume 100 is what the reset brought.
    expect(run.sent.map(({ now, bytes }) => `${now} ${toHex(bytes)}`)).toEqual([
      '0 F0 7E 7F 09 01 F7',
      '101920 C0 08',
    ]);
  });

  test('the last master volume is re-sent, once; before the first it is full again', () => {
    const song: TimedBytes[] = [
      [0, 0x90, 60, 1],
      masterVolume(S, 9),
      masterVolume(2 * S, 5),
      [9 * S, 0x80, 60, 0],
    ];
    const run = new VirtualRun(planOf(timelineOf(song)));
    const sysEx = () =>
      run.outlet.sent.splice(0).flatMap(({ bytes }) => (bytes[0] === 0xf0 ? [toHex(bytes)] : []));
    run
      .send({ kind: 'seek', micros: 3 * S })
      .send({ kind: 'play' })
      .to(0.1 * S);
    expect(sysEx()).toEqual(['F0 7F 7F 04 01 00 05 F7']);
    run.send({ kind: 'seek', micros: 4 * S }).to(0.2 * S);
    expect(sysEx()).toEqual([]);
    run.send({ kind: 'seek', micros: 0.5 * S }).to(0.3 * S);
    expect(sysEx()).toEqual(['F0 7F 7F 04 01 7F 7F F7']);
  });
});

// ---- against brute force: read from the start, byte by byte ----

const GRID = 10_000;

/** State messages and notes on three channels, dense enough that everything meets everything. */
const stateMessage = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.tuple(
      fc.constantFrom(0xb0, 0xb1, 0xb9),
      fc.constantFrom(0, 1, 7, 10, 11, 32, 33, 39, 64, 66, 91, 102),
      fc.integer({ min: 0, max: 127 }),
    ),
  },
  {
    weight: 4,
    arbitrary: fc.tuple(
      fc.constantFrom(0xb0, 0xb1),
      fc.constantFrom(6, 38, 96, 97, 98, 99, 100, 101),
      fc.integer({ min: 0, max: 2 }),
    ),
  },
  {
    weight: 1,
    arbitrary: fc.tuple(
      fc.constantFrom(0xb0, 0xb1),
      fc.constantFrom(121, 122, 124, 125, 126, 127, 100, 101),
      fc.constantFrom(0, 127),
    ),
  },
  {
    weight: 2,
    arbitrary: fc.tuple(fc.constantFrom(0xc0, 0xc1, 0xd0, 0xd1), fc.integer({ min: 0, max: 127 })),
  },
  {
    weight: 2,
    arbitrary: fc.tuple(
      fc.constantFrom(0xe0, 0xe1, 0xa0),
      fc.integer({ min: 0, max: 3 }),
      fc.integer({ min: 60, max: 66 }),
    ),
  },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
      [0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, 0x30, 0xf7],
      [0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, 0x50, 0xf7],
    ),
  },
  {
    weight: 3,
    arbitrary: fc.tuple(
      fc.constantFrom(0x90, 0x91),
      fc.integer({ min: 60, max: 62 }),
      fc.integer({ min: 0, max: 2 }),
    ),
  },
) as fc.Arbitrary<number[]>;

const song = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 40 }), stateMessage), { minLength: 1, maxLength: 60 })
  .map((rows) => rows.map(([step, bytes]): TimedBytes => [step * GRID * 20, ...bytes]));

/** Reads every message of the song before a song time, as playing from the start would send it. */
function readUntil(messages: readonly TimedBytes[], micros: number, msbClearsLsb: boolean): WireReader {
  const reader = new WireReader(msbClearsLsb);
  const sorted = messages
    .map((message, i) => ({ message, i }))
    .sort((a, b) => a.message[0] - b.message[0] || a.i - b.i);
  for (const { message } of sorted) if (message[0] < micros) reader.read(message.slice(1));
  return reader;
}

/** Said for the first time before the channel’s first note: nobody hears what was there before. */
function unheardIn(messages: readonly TimedBytes[]): (what: string) => boolean {
  const reader = new WireReader(false);
  const unheard = new Set<string>();
  const sorted = messages
    .map((message, i) => ({ message, i }))
    .sort((a, b) => a.message[0] - b.message[0] || a.i - b.i);
  for (const { message } of sorted) {
    reader.read(message.slice(1));
    for (const what of reader.said.keys()) {
      const channel = Number(what.split(':')[0]);
      const heard = what.includes(':')
        ? reader.noteOns.some((note) => note.channel === channel)
        : reader.noteOns.length > 0;
      if (!heard) unheard.add(what);
    }
  }
  return (what) =>
    unheard.has(what) || (what.endsWith('bankOfProgram') && unheard.has(what.replace('bankOfP', 'p')));
}

describe('seek to t = play to t', () => {
  test.each([true, false])(
    'generated songs, any seeks (receiver that clears the LSB: %s)',
    (msbClearsLsb) => {
      fc.assert(
        fc.property(
          song,
          fc.array(fc.integer({ min: 0, max: 41 }), { minLength: 1, maxLength: 6 }),
          fc.integer({ min: 1, max: 30 }),
          (messages, seeks, wait) => {
            const run = new VirtualRun(planOf(timelineOf(messages)), { durationMicros: 60 * S });
            const receiver = new WireReader(msbClearsLsb);
            const unheard = unheardIn(messages);
            const drain = () => receiver.read(run.outlet.sent.splice(0).flatMap(({ bytes }) => bytes));
            run.send({ kind: 'play' }).to(3 * GRID);
            drain();
            for (const place of seeks) {
              // Half a step beside every message, so that nothing of the song is due at once.
              const target = place * GRID * 20 + GRID * 10;
              run.send({ kind: 'seek', micros: target }).to(run.now + 9 * GRID + 135_000); // settle time, chase
              const music = run.outlet.sent.findIndex((sent) => sent.song >= 0);
              const chase = run.outlet.sent.splice(0, music < 0 ? Infinity : music);
              receiver.read(chase.flatMap(({ bytes }) => bytes));
              expect(differences(readUntil(messages, target, msbClearsLsb), receiver, unheard)).toEqual([]);
              run.to(run.now + wait * GRID);
              drain();
            }
            run.to(run.now + 30 * S);
            drain();
            expect(differences(readUntil(messages, Infinity, msbClearsLsb), receiver, unheard)).toEqual([]);
            expect(receiver.faults).toEqual([]);
          },
        ),
        { numRuns: 300 },
      );
    },
  );
});
