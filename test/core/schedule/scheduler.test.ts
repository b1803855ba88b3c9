import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { Op } from '../../../src/core/schedule/command.ts';
import { Time } from '../../../src/core/schedule/scheduler-times.ts';
import { Transport } from '../../../src/core/schedule/transport-board.ts';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { type RunOptions, VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;

function songOf(messages: TimedBytes[], options: RunOptions = {}): VirtualRun {
  return new VirtualRun(planOf(timelineOf(messages)), options);
}

/** What was sent since the last call, as `milliseconds: bytes`. */
function sentBy(run: VirtualRun): string[] {
  return run.outlet.sent.splice(0).map(({ now, bytes }) => `${now / 1000}: ${toHex(bytes)}`);
}

/** Two notes one after another on channel 1, a second each. */
const TWO_NOTES: TimedBytes[] = [
  [0, 0xc0, 5],
  [0, 0x90, 60, 100],
  [S, 0x80, 60, 64],
  [S, 0x90, 64, 90],
  [2 * S, 0x90, 64, 0],
];

describe('play', () => {
  test('every message leaves at its moment; then silence, and after the ring-out All Sound Off', () => {
    const run = songOf(TWO_NOTES).send({ kind: 'play' }).toEnd();
    expect(sentBy(run)).toEqual([
      '0: C0 05',
      '0: 90 3C 64',
      '1000: 80 3C 40',
      '1000: 90 40 5A',
      '2000: 90 40 00',
      '2000: B0 7B 00',
      '3001.92: B0 78 00', // 6 bytes after 2 s are through at 2,001.92 ms, then one second
    ]);
    expect(run.observed.numbers[Slot.transport]).toBe(Transport.ended);
  });

  test('the register carries run time due, song time, and the moment of handing over', () => {
    // A plan that took the note 3 ms early, and the program change 20 ms early.
    const columns = timelineOf([
      [S, 0xc0, 5],
      [S, 0x90, 60, 100],
    ]);
    const plan = planOf(
      columns,
      new Map([
        [0, S - 20_000],
        [1, S - 3_000],
      ]),
    );
    const run = new VirtualRun(plan).send({ kind: 'play' }).toEnd();
    const [program, note] = run.sent;
    expect(program).toMatchObject({ now: S - 20_000, due: S - 20_000, release: S - 20_000, song: S });
    expect(note).toMatchObject({ now: S - 3_000, due: S, release: S - 3_000, song: S });
  });

  test('what a plan moved ahead of the song’s beginning gets a run-up', () => {
    const columns = timelineOf([
      [0, 0xc0, 5],
      [0, 0x90, 60, 100],
      [S, 0x80, 60, 0],
    ]);
    const run = new VirtualRun(planOf(columns, new Map([[0, -40_000]]))).send({ kind: 'play' });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(-40_000);
    run.toEnd();
    expect(sentBy(run).slice(0, 3)).toEqual(['0: C0 05', '40: 90 3C 64', '1040: 80 3C 00']);
  });

  test('a surplus note-off of the file is forwarded; two strikes get two note-offs', () => {
    const run = songOf([
      [0, 0x80, 50, 1],
      [0, 0x90, 60, 100],
      [1000, 0x90, 60, 100],
      [2000, 0x80, 60, 2],
      [3000, 0x80, 60, 3],
    ]);
    run.send({ kind: 'play' }).to(4000);
    expect(sentBy(run).map((line) => line.slice(-8))).toEqual([
      '80 32 01',
      '90 3C 64',
      '90 3C 64',
      '80 3C 02',
      '80 3C 03',
      'B0 7B 00',
    ]);
  });

  test('a start position is where play begins and stop returns to', () => {
    const run = songOf(TWO_NOTES, { startMicros: S });
    run.send({ kind: 'play' }).to(0.5 * S);
    // Two bytes of chase take 640 µs; the music waits for them.
    expect(sentBy(run)).toEqual(['0: C0 05', '0.64: 90 40 5A']);
    run.send({ kind: 'stop' });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(S);
  });

  test('after the end, play begins again', () => {
    const run = songOf(TWO_NOTES).send({ kind: 'play' }).toEnd();
    expect(run.scheduler.finished).toBe(true);
    sentBy(run);
    run.send({ kind: 'play' });
    expect(run.scheduler.finished).toBe(false);
    run.toEnd();
    expect(sentBy(run).filter((line) => line.includes(': 90'))).toHaveLength(3);
  });
});

describe('pause, stop, quit', () => {
  test('pause ends the notes and brings pedal and bend to rest; play brings them back and goes on', () => {
    const run = songOf([[0, 0xb0, 64, 127], [0, 0xe0, 0, 80], ...TWO_NOTES]);
    run.send({ kind: 'play' }).to(0.25 * S);
    sentBy(run);
    run.send({ kind: 'pause' });
    expect(sentBy(run)).toEqual(['250: 80 3C 40', '250: B0 40 00', '250: E0 00 40', '250: B0 7B 00']);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(0.25 * S);
    run
      .to(9 * S)
      .send({ kind: 'play' })
      .to(10 * S);
    // Six bytes, 1.92 ms, then 0.75 s of song are left before the second note.
    expect(sentBy(run)).toEqual(['9000: B0 40 7F', '9000: E0 00 50', '9751.92: 90 40 5A']);
  });

  test('a note-off whose note-on was cut off is not sent', () => {
    const run = songOf(TWO_NOTES)
      .send({ kind: 'play' })
      .to(0.5 * S)
      .send({ kind: 'pause' });
    sentBy(run);
    run.send({ kind: 'play' }).to(1.2 * S);
    expect(sentBy(run)).toEqual(['1001.92: 90 40 5A']); // the six bytes of the pause go first
  });

  test.each(['stop', 'quit'] as const)('%s leaves no sound: All Notes Off and All Sound Off', (kind) => {
    const run = songOf(TWO_NOTES)
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.send({ kind });
    expect(sentBy(run)).toEqual(['500: 80 3C 40', '500: B0 7B 00', '500: B0 78 00']);
    expect(run.scheduler.finished).toBe(kind === 'quit');
  });

  test('after quit nothing is obeyed any more', () => {
    const run = songOf(TWO_NOTES).send({ kind: 'play' }).send({ kind: 'quit' });
    sentBy(run);
    run
      .send({ kind: 'play' })
      .send({ kind: 'silence-all' })
      .to(5 * S);
    expect(sentBy(run)).toEqual([]);
  });
});

describe('seek', () => {
  test('plays exactly the note-ons due from there on', () => {
    const run = songOf(TWO_NOTES).send({ kind: 'play' }).to(1000);
    sentBy(run);
    run.send({ kind: 'seek', micros: S });
    expect(sentBy(run)).toEqual(['1: 80 3C 40', '1: B0 7B 00']);
    run.to(0.5 * S);
    expect(sentBy(run)).toEqual(['3.52: 90 40 5A']); // all bytes so far, eleven, are through
  });

  test('in a packed plan: early rows, early notes and note-offs that made room', () => {
    const columns = timelineOf([
      [0, 0x90, 60, 1], // row 0
      [S, 0x80, 60, 0], // row 1, made room until 1.004 s
      [S, 0xc0, 7], // row 2, moved early to 0.7 s
      [S, 0x90, 64, 2], // row 3, taken early at 0.998 s
      [1.002 * S, 0xb0, 7, 90], // row 4
      [2 * S, 0x80, 64, 0],
    ]);
    const plan = planOf(
      columns,
      new Map([
        [1, 1.004 * S],
        [2, 0.7 * S],
        [3, 0.998 * S],
      ]),
    );
    const run = new VirtualRun(plan)
      .send({ kind: 'seek', micros: S })
      .send({ kind: 'play' })
      .to(0.01 * S);
    // The program is in the chase; the note, due at 1 s, is played; the other's note-off is not.
    expect(sentBy(run)).toEqual(['0: C0 07', '0.64: 90 40 02', '2.64: B0 07 5A']);
  });

  test('what stands at the place before its first note is part of the chase, and the note in time', () => {
    const run = songOf([
      [S, 0xc0, 7],
      [S, 0xb0, 7, 90],
      [S, 0x90, 64, 2],
      [S, 0xb0, 10, 3],
      [2 * S, 0x80, 64, 0],
    ]);
    run
      .send({ kind: 'seek', micros: S })
      .send({ kind: 'play' })
      .to(0.1 * S);
    expect(sentBy(run)).toEqual(['0: C0 07', '0: B0 07 5A', '1.6: 90 40 02', '1.6: B0 0A 03']);
  });

  test('…in a plan that takes notes early too', () => {
    const columns = timelineOf([
      [0.1 * S, 0x91, 50, 1], // taken 3 ms early, so a seek looks back that far
      [0.9975 * S, 0x90, 60, 1],
      [S, 0xc0, 7],
      [S, 0x90, 64, 2],
    ]);
    const run = new VirtualRun(planOf(columns, new Map([[0, 0.097 * S]])), { durationMicros: 9 * S });
    run
      .send({ kind: 'seek', micros: S })
      .send({ kind: 'play' })
      .to(0.1 * S);
    expect(sentBy(run)).toEqual(['0: C0 07', '0.64: 90 40 02']);
  });

  test('while paused it says nothing until play', () => {
    const run = songOf(TWO_NOTES)
      .send({ kind: 'play' })
      .to(0.5 * S)
      .send({ kind: 'pause' });
    sentBy(run);
    run.send({ kind: 'seek', micros: 1.5 * S }).to(S);
    expect(sentBy(run)).toEqual([]);
    expect(run.observed.numbers[Slot.transport]).toBe(Transport.paused);
    run
      .send({ kind: 'seek', micros: S })
      .send({ kind: 'play' })
      .to(1.1 * S);
    expect(sentBy(run)).toEqual(['1000: 90 40 5A']);
  });

  test('on every channel what sounds there is struck again, in the order of the song', () => {
    const channels = Array.from({ length: 16 }, (_, channel) => channel);
    const run = songOf(
      [
        ...channels.map((channel): TimedBytes => [channel, 0x90 | channel, 60, 1 + channel]),
        ...channels.map((channel): TimedBytes => [2 * S, 0x80 | channel, 60, 0]),
      ],
      { restrike: true },
    );
    run.send({ kind: 'seek', micros: S }).send({ kind: 'play' });
    const melodic = channels.filter((channel) => channel !== 9);
    expect(run.sent.map(({ bytes }) => bytes)).toEqual(
      melodic.map((channel) => [0x90 | channel, 60, 1 + channel]),
    );
  });

  test('notes that should be sounding are struck again if wanted, percussion is not', () => {
    const song: TimedBytes[] = [
      [0, 0x99, 49, 100],
      [0, 0x90, 60, 77],
      [S, 0x80, 60, 0],
      [S, 0x89, 49, 0],
    ];
    const run = songOf(song, { restrike: true });
    run
      .send({ kind: 'seek', micros: 0.5 * S })
      .send({ kind: 'play' })
      .to(S);
    expect(sentBy(run).slice(0, 2)).toEqual(['0: 90 3C 4D', '500.96: 80 3C 00']);
    const after = songOf([...song, [2 * S, 0x90, 70, 1]], { restrike: true });
    after.send({ kind: 'seek', micros: 1.5 * S }).send({ kind: 'play' });
    expect(sentBy(after)).toEqual([]); // it has ended by then
    const offLast: TimedBytes[] = [
      [0, 0x90, 60, 77],
      [S, 0x90, 70, 1],
      [S, 0x80, 60, 0],
    ];
    const together = songOf(offLast, { restrike: true });
    together.send({ kind: 'seek', micros: S }).send({ kind: 'play' });
    expect(sentBy(together).filter((line) => line.includes('90 3C'))).toEqual([]); // it ends at that very moment
    run
      .send({ kind: 'stop' })
      .send({ kind: 'play' })
      .to(1.2 * S)
      .send({ kind: 'pause' });
    sentBy(run);
    run.send({ kind: 'play' });
    expect(sentBy(run)).toEqual(['1200: 90 3C 4D']);
  });
});

describe('loop', () => {
  const song: TimedBytes[] = [
    [0, 0x90, 60, 1],
    [S, 0x80, 60, 0],
    [S, 0xb0, 1, 99],
    [1.5 * S, 0x90, 62, 2],
    [3 * S, 0x80, 62, 0],
    [3 * S, 0x90, 65, 3],
    [4 * S, 0x80, 65, 0],
  ];

  test('B goes on at A in the same moment: note-offs, state of A, position', () => {
    const run = songOf(song)
      .send({ kind: 'loop', fromMicros: 0.5 * S, toMicros: 2 * S })
      .send({ kind: 'play' });
    run.to(1.9 * S);
    sentBy(run);
    run.to(3.4 * S);
    expect(sentBy(run)).toEqual(['2000: 80 3E 40', '2000: B0 01 00', '2500: B0 01 63', '3000: 90 3E 02']);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(1.9 * S);
  });

  test('what is released at B belongs to after the repeat', () => {
    const run = songOf(song)
      .send({ kind: 'loop', fromMicros: 0, toMicros: 3 * S })
      .send({ kind: 'play' })
      .to(10 * S);
    const keys = run.sent.filter(({ bytes }) => bytes[0] === 0x90).map(({ bytes }) => bytes[1]);
    expect(keys).toEqual([60, 62, 60, 62, 60, 62, 60]);
  });

  test('from the song’s start the set-up is not sent again: the repeat would be late behind it', () => {
    const gmOn: TimedBytes = [0, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
    const setUp: TimedBytes[] = [gmOn, [0, 0xc0, 5], [0, 0xb0, 7, 90], [0, 0xb0, 10, 64]];
    const columns = timelineOf([...setUp, ...song]);
    // In a packed plan it stands before the song's start.
    const plans = [
      planOf(columns),
      planOf(columns, new Map([0, 1, 2, 3].map((row) => [row, row * 1000 - 200_000]))),
    ];
    for (const plan of plans) {
      const run = new VirtualRun(plan)
        .send({ kind: 'loop', fromMicros: 0, toMicros: S })
        .send({ kind: 'play' });
      run.to(1.1 * S).to(1.5 * S);
      const again = run.sent.filter(({ now }) => now > 0.5 * S).map(({ bytes }) => toHex(bytes));
      expect(again).toEqual(['80 3C 40', '90 3C 01']);
    }
  });

  test('a note taken early for B is not struck, one released late for A is not either', () => {
    const columns = timelineOf([
      [0.5 * S, 0x90, 60, 1], // row 0, released 4 ms late: due before A
      [0.502 * S, 0xb0, 1, 9],
      [0.6 * S, 0x80, 60, 0],
      [2 * S, 0x90, 62, 2], // row 3, released 4 ms early: due at B
      [2.5 * S, 0x80, 62, 0],
    ]);
    const plan = planOf(
      columns,
      new Map([
        [0, 0.504 * S],
        [3, 1.996 * S],
      ]),
    );
    const run = new VirtualRun(plan).send({ kind: 'loop', fromMicros: 0.503 * S, toMicros: 2 * S });
    run.send({ kind: 'play' }).to(4 * S);
    // Struck while it came from the song's start; in the repeats not.
    expect(sentBy(run)).toEqual(['502: B0 01 09', '504: 90 3C 01', '600: 80 3C 00']);
  });

  test('a thousand repeats later the position is exact', () => {
    const run = songOf(song)
      .send({ kind: 'loop', fromMicros: 0, toMicros: 1.5 * S })
      .send({ kind: 'play' });
    run.to(1500.25 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(0.25 * S);
    expect(run.sent.every(({ now, due }) => now === due)).toBe(true);
  });

  test('a repeat that was noticed late does not put the music off', () => {
    const run = songOf(song)
      .send({ kind: 'loop', fromMicros: 0, toMicros: 1.5 * S })
      .send({ kind: 'play' });
    for (let repeat = 1; repeat <= 100; repeat += 1) {
      run.to(repeat * 1.5 * S - 1).stallTo(repeat * 1.5 * S + 7000);
      expect(run.observed.numbers[Slot.positionMicros]).toBe(7000);
    }
  });

  test('taken away, the song goes on past B; a seek past B leaves it', () => {
    const run = songOf(song)
      .send({ kind: 'loop', fromMicros: 0, toMicros: S })
      .send({ kind: 'play' })
      .to(2.5 * S);
    run.send({ kind: 'loop-off' }).to(3.6 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(1.6 * S);
    run
      .send({ kind: 'loop', fromMicros: 0, toMicros: 2 * S })
      .send({ kind: 'seek', micros: 2.5 * S })
      .toEnd();
    expect(run.observed.numbers[Slot.transport]).toBe(Transport.ended);
  });

  test('set behind the position it takes effect at once', () => {
    const run = songOf(song)
      .send({ kind: 'play' })
      .to(3.5 * S);
    run.send({ kind: 'loop', fromMicros: S, toMicros: 2 * S });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(S);
  });

  test('one too short to be music is none', () => {
    const run = songOf(song).send({ kind: 'loop', fromMicros: S, toMicros: S + 9_999 });
    expect(run.observed.numbers[Slot.loopFromMicros]).toBe(-1);
  });
});

describe('tempo scale', () => {
  test('changes the speed and not the position', () => {
    const run = songOf(TWO_NOTES)
      .send({ kind: 'play' })
      .to(0.5 * S);
    run.send({ kind: 'tempo-scale', scale: 0.25 });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(0.5 * S);
    run.to(3 * S);
    expect(sentBy(run).at(-1)).toBe('2500: 90 40 5A'); // the other half second took two
    run.send({ kind: 'tempo-scale', scale: 4 }).toEnd();
    // 0.125 of the last second was played by then.
    expect(sentBy(run)[0]).toBe('3218.75: 90 40 00');
  });

  test('keeps to 25–400 %', () => {
    const run = songOf(TWO_NOTES).send({ kind: 'tempo-scale', scale: 9 });
    expect(run.observed.numbers[Slot.tempoScale]).toBe(4);
    run.send({ kind: 'tempo-scale', scale: Number.NaN });
    expect(run.observed.numbers[Slot.tempoScale]).toBe(0.25);
  });
});

describe('transposition', () => {
  test('a note keeps the key it was struck with until it is released; channel 10 is exempt', () => {
    const run = songOf([...TWO_NOTES, [0, 0x99, 38, 1], [S, 0x89, 38, 0]])
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.send({ kind: 'transpose', semitones: 3 }).to(1.5 * S);
    run.send({ kind: 'transpose', semitones: -24 }).to(2 * S);
    expect(sentBy(run).slice(0, 4)).toEqual([
      '1000: 80 3C 40',
      '1000: 90 43 5A',
      '1000: 89 26 00',
      '2000: 90 43 00',
    ]);
  });

  test('a channel’s own comes on top, on channel 10 too', () => {
    const run = songOf([
      [0, 0x92, 60, 1],
      [0, 0x99, 60, 1],
    ]);
    run.send({ kind: 'transpose', semitones: 2 });
    run.send({ kind: 'channel-transpose', channel: 2, semitones: 12 });
    run.send({ kind: 'channel-transpose', channel: 9, semitones: -1 });
    run.send({ kind: 'play' });
    expect(sentBy(run).slice(0, 2)).toEqual(['0: 92 4A 01', '0: 99 3B 01']);
  });

  test('pressure on a key goes where the key goes, in the song and in the chase', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [1000, 0xa0, 60, 50],
      [9 * S, 0x80, 60, 0],
    ]).send({ kind: 'transpose', semitones: 5 });
    run.send({ kind: 'play' }).to(2000);
    expect(sentBy(run)).toEqual(['0: 90 41 01', '1: A0 41 32']);
    run.send({ kind: 'transpose', semitones: -5 }).send({ kind: 'seek', micros: S }).to(S);
    expect(sentBy(run).slice(-2)).toEqual(['2: A0 37 32', '2: A0 41 00']);
  });

  test('a surplus note-off does not release a transposed neighbour', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [S, 0x80, 58, 0],
      [2 * S, 0x80, 60, 0],
    ]).send({ kind: 'play' });
    run.send({ kind: 'transpose', semitones: 2 }).to(1.5 * S);
    expect(sentBy(run)).toEqual(['0: 90 3C 01']);
  });
});

describe('mute, solo, trims', () => {
  const song: TimedBytes[] = [
    [0, 0x90, 60, 1],
    [0, 0x91, 40, 1],
    [S, 0x80, 60, 0],
    [S, 0xb0, 7, 50],
    [S, 0x90, 62, 2],
    [2 * S, 0x80, 62, 0],
    [2 * S, 0x90, 64, 3],
    [3 * S, 0x80, 64, 0],
  ];

  test('muting ends the channel’s notes at once; note-ons are held back, state flows, unmute is right at once', () => {
    const run = songOf(song)
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.send({ kind: 'mute', channel: 0, on: true });
    expect(sentBy(run)).toEqual(['500: 80 3C 40']);
    run.to(1.5 * S);
    expect(sentBy(run)).toEqual(['1000: B0 07 32']);
    expect(run.outlet.held).toEqual([0]);
    run.send({ kind: 'mute', channel: 0, on: false }).to(2.5 * S);
    expect(sentBy(run)).toEqual(['2000: 90 40 03']); // and no note-off for the one held back
  });

  test('a pedal does not hold a muted channel’s notes, and is down again at once', () => {
    const run = songOf([[0, 0xb0, 64, 127], ...song])
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.send({ kind: 'mute', channel: 0, on: true });
    expect(sentBy(run)).toEqual(['500: 80 3C 40', '500: B0 40 00', '500: B0 40 7F']);
  });

  test('solo silences the others', () => {
    const run = songOf(song)
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.send({ kind: 'solo', channel: 0, on: true });
    expect(sentBy(run)).toEqual(['500: 81 28 40']);
    run.send({ kind: 'mute', channel: 0, on: true });
    expect(sentBy(run)).toEqual(['500: 80 3C 40']);
  });

  test('velocity trim', () => {
    const run = songOf(song).send({ kind: 'velocity-trim', channel: 1, amount: 20 }).send({ kind: 'play' });
    expect(sentBy(run)).toEqual(['0: 90 3C 01', '0: 91 28 15']);
  });

  test('a trim goes no further than all velocities are wide, a transposition no further than four octaves', () => {
    for (const by of [-1, 1]) {
      const run = songOf(song)
        .send({ kind: 'velocity-trim', channel: 1, amount: by * 1000 })
        .send({ kind: 'channel-transpose', channel: 1, semitones: by * 1000 });
      expect(run.observed.velocityTrim[1]).toBe(by * 127);
      expect(run.observed.channelTranspose[1]).toBe(by * 48);
    }
  });

  test('program override holds against the song, and gives its program back', () => {
    const run = songOf([
      [0, 0xc0, 5],
      [S, 0xb0, 0, 1],
      [S, 0xc0, 6],
      [2 * S, 0x90, 60, 1],
    ]).send({ kind: 'play' });
    sentBy(run);
    run.send({ kind: 'program-override', channel: 0, program: 40 }).to(1.5 * S);
    expect(sentBy(run)).toEqual(['0: C0 28', '1000: B0 00 01']);
    run.send({ kind: 'program-override', channel: 0, program: undefined });
    expect(sentBy(run)).toEqual(['1500: C0 06']);
  });
});

describe('silence', () => {
  test('silence-all reaches every channel, and the song plays on with its state', () => {
    const run = songOf([[0, 0xe0, 0, 70], [0, 0xb0, 66, 127], ...TWO_NOTES])
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.send({ kind: 'silence-all' });
    const lines = sentBy(run);
    expect(lines.slice(0, 3)).toEqual(['500: 80 3C 40', '500: B0 42 00', '500: E0 00 40']);
    for (let channel = 0; channel < 16; channel += 1) {
      expect(lines).toContain(`500: ${toHex([0xb0 | channel])} 78 00`);
    }
    expect(lines.slice(-2)).toEqual(['500: B0 42 7F', '500: E0 00 46']);
    run.to(1.2 * S);
    expect(sentBy(run)).toEqual(['1000: 90 40 5A']);
  });

  test('silence-note ends each strike of one key and leaves the others', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [0, 0x90, 60, 1],
      [0, 0x90, 61, 1],
      [S, 0x80, 60, 0],
    ]);
    run.send({ kind: 'play' }).to(1000);
    sentBy(run);
    run.send({ kind: 'silence-note', channel: 0, key: 60 }).to(S);
    expect(sentBy(run).slice(0, 2)).toEqual(['1: 80 3C 40', '1: 80 3C 40']);
  });

  test('silence-channel leaves the other channels alone', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [0, 0x91, 60, 1],
      [9 * S, 0x80, 60, 0],
    ])
      .send({ kind: 'play' })
      .to(1000);
    sentBy(run);
    run.send({ kind: 'silence-channel', channel: 1 });
    expect(sentBy(run)).toEqual(['1: 81 3C 40', '1: B1 7B 00', '1: B1 78 00']);
  });

  test('five hundred and more silences of one key do not confuse strikes of long ago', () => {
    const messages: TimedBytes[] = [
      [0, 0x90, 60, 1],
      [5000 * S, 0x80, 60, 0],
    ];
    for (let i = 1; i < 1100; i += 1) messages.push([i * S, 0x90, 60, 2]);
    const run = songOf(messages).send({ kind: 'play' });
    for (let i = 0; i < 1100; i += 1) {
      run.to((i + 0.5) * S).send({ kind: 'silence-note', channel: 0, key: 60 });
    }
    run.to(2000 * S);
    sentBy(run);
    run.to(5000 * S);
    expect(sentBy(run)).toEqual(['5000000: B0 7B 00']); // no note-off: all were ended long ago
  });

  test('nor those of later on, on the highest key of the last channel either', () => {
    const messages: TimedBytes[] = [];
    for (let i = 0; i < 1100; i += 1) messages.push([i * S, 0x9f, 127, 2], [(i + 0.75) * S, 0x8f, 127, 0]);
    const run = songOf(messages, { durationMicros: 9999 * S }).send({ kind: 'play' });
    for (let i = 0; i < 1099; i += 1) {
      run.to((i + 0.5) * S);
      expect(sentBy(run)).toEqual([`${i * 1000}: 9F 7F 02`]); // the last one's note-off is void
      if (i % 50 === 49) {
        expect(sentBy(run.to((i + 0.875) * S))).toEqual([`${(i + 0.75) * 1000}: 8F 7F 00`]);
        continue;
      }
      run.send({ kind: 'silence-note', channel: 15, key: 127 });
      expect(sentBy(run)).toEqual([`${(i + 0.5) * 1000}: 8F 7F 40`]);
    }
    run.to(1100 * S);
    expect(sentBy(run)).toEqual(['1099000: 9F 7F 02', '1099750: 8F 7F 00']);
  });
});

describe('a receiver that lost its memory', () => {
  test('has heard what was due before: nothing of it comes behind what it is told anew', () => {
    for (const channels of [undefined, 1 << 0]) {
      const run = songOf([[0, 0xb0, 7, 80], ...TWO_NOTES])
        .send({ kind: 'play' })
        .to(0.5 * S);
      sentBy(run);
      run.scheduler.times[Time.now] = 1.01 * S; // nobody looked in between
      run.scheduler.restate(channels);
      const lines = sentBy(run).map((line) => line.split(': ')[1]);
      expect(lines.slice(0, 2)).toEqual(['80 3C 40', '90 40 5A']);
      expect(lines.indexOf('80 40 40')).toBe(2);
    }
  });

  test('is silenced, told everything anew, and the music goes on from there', () => {
    const run = songOf([[0, 0xb0, 7, 80], ...TWO_NOTES])
      .send({ kind: 'play' })
      .to(0.5 * S);
    sentBy(run);
    run.scheduler.restate();
    const lines = sentBy(run);
    expect(lines[0]).toBe('500: 80 3C 40');
    expect(lines.slice(-2)).toEqual(['500: C0 05', '500: B0 07 50']);
    run.to(1.6 * S);
    const gap = (1 + 16 * 2 + 1) * 3 * 320 + 2 * 320; // note-off, 123 and 120 on 16 channels, volume; program
    expect(sentBy(run)).toEqual([`${1000 + gap / 1000}: 90 40 5A`]);
  });

  test('of one of two modules: only its channels, and the music does not wait', () => {
    const run = songOf([
      [0, 0xb0, 101, 0],
      [0, 0xb0, 100, 0],
      [0, 0xb0, 6, 12],
      [0, 0x91, 50, 1],
      ...TWO_NOTES,
    ]);
    run.send({ kind: 'play' }).to(0.5 * S);
    sentBy(run);
    run.scheduler.restate(1 << 0);
    expect(sentBy(run)).toEqual([
      '500: 80 3C 40',
      '500: B0 7B 00',
      '500: B0 78 00',
      '500: C0 05',
      '500: B0 65 00',
      '500: B0 64 00',
      '500: B0 06 0C',
    ]);
    run.to(1.2 * S);
    expect(sentBy(run)).toEqual(['1000: 90 40 5A']);
  });

  test('of parameters entered before a reset nothing is entered again: none is selected', () => {
    const run = songOf([
      [0, 0xb0, 101, 0],
      [0, 0xb0, 100, 0],
      [0, 0xb0, 6, 12],
      [0, 0xb0, 38, 1],
      [100_000, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
      [300_000, 0x90, 50, 1],
      [1_000_000, 0x90, 64, 90],
    ]);
    run.send({ kind: 'play' }).to(0.5 * S);
    sentBy(run);
    run.scheduler.restate(1 << 0);
    expect(sentBy(run).filter((line) => /B0 (06|26)/.test(line))).toEqual([]);
  });

  test('after a General MIDI reset: what the song has named, also where it is at rest again, and little else', () => {
    const run = songOf([
      [0, 0xb0, 7, 30],
      [0, 0xb0, 10, 20],
      [100_000, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
      [200_000, 0xc0, 5, 0],
      [200_000, 0xb0, 10, 90],
      [300_000, 0x91, 50, 1],
      [1_000_000, 0x90, 64, 90],
    ]);
    run.send({ kind: 'play' }).to(0.5 * S);
    sentBy(run);
    run.scheduler.restate(1 << 0);
    // Volume was named and reset since: it is sent at rest. Fine halves follow their coarse ones.
    expect(sentBy(run)).toEqual([
      '500: B0 7B 00',
      '500: B0 78 00',
      '500: B0 79 00',
      '500: C0 05',
      '500: B0 07 64',
      '500: B0 27 00',
      '500: B0 0A 5A',
      '500: B0 2A 00',
    ]);
  });
});

describe('commands at the ends of what they may say', () => {
  const song: TimedBytes[] = [
    [0, 0x90, 60, 1],
    [4 * S, 0x80, 60, 0],
  ];

  test.each([
    [Op.seek, -5, 0, Slot.positionMicros, 0],
    [Op.seek, 9 * S, 0, Slot.positionMicros, 4 * S],
    [Op.seek, Number.NaN, 0, Slot.positionMicros, 0],
    [Op.loop, -5, 2 * S, Slot.loopFromMicros, 0],
    [Op.loop, S, 9 * S, Slot.loopToMicros, 4 * S],
    [Op.loop, 3 * S, 2 * S, Slot.loopToMicros, -1],
    [Op.tempoScale, 0.25, 0, Slot.tempoScale, 0.25],
    [Op.tempoScale, 0.24, 0, Slot.tempoScale, 0.25],
    [Op.tempoScale, 4.1, 0, Slot.tempoScale, 4],
    [Op.tempoScale, 3.9, 0, Slot.tempoScale, 3.9],
    [Op.transpose, 24.4, 0, Slot.transpose, 24],
    [Op.transpose, 2.6, 0, Slot.transpose, 3],
    [Op.transpose, -25, 0, Slot.transpose, -24],
  ])('command %i of %d and %d: number %i is %d', (op, a, b, slot, value) => {
    const run = songOf(song);
    run.scheduler.apply(op, a, b);
    expect(run.observed.numbers[slot]).toBe(value);
  });

  test.each([
    [Op.mute, 'muted', 2, 1],
    [Op.mute, 'muted', -1, 1],
    [Op.mute, 'muted', 0, 0],
    [Op.solo, 'soloed', 2, 1],
    [Op.solo, 'soloed', 0, 0],
    [Op.velocityTrim, 'velocityTrim', -12.4, -12],
    [Op.velocityTrim, 'velocityTrim', 128, 127],
    [Op.channelTranspose, 'channelTranspose', 47.6, 48],
    [Op.channelTranspose, 'channelTranspose', -49, -48],
    [Op.programOverride, 'programOverride', 0, 0],
    [Op.programOverride, 'programOverride', 127, 127],
    [Op.programOverride, 'programOverride', 128, -1],
    [Op.programOverride, 'programOverride', -1, -1],
  ] as const)('command %i on the first, the last and no channel: %s by %d is %d', (op, table, b, value) => {
    const run = songOf(song);
    const rest = run.observed[table][1]!;
    for (const channel of [-1, 0, 15, 16]) run.scheduler.apply(op, channel, b);
    const meant = Array.from({ length: 16 }, (_, channel) => (channel % 15 === 0 ? value : rest));
    expect([...run.observed[table]]).toEqual(meant);
  });

  test('a note to silence is a key', () => {
    const run = songOf(song);
    for (const key of [-1, 0, 127, 128]) run.scheduler.apply(Op.silenceNote, 0, key);
    expect(sentBy(run)).toEqual(['0: 80 00 40', '0: 80 7F 40']);
  });
});
