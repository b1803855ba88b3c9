import { describe, expect, test } from 'vitest';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { type Sent, VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;
/** 24 clocks a quarter note (MIDI 1.0, p. 30): at 120 a minute one each 20,833.3 µs. */
const CLOCKS = Float64Array.from({ length: 24 * 16 + 1 }, (_, i) => Math.round((i * 500_000) / 24));
const SONG: TimedBytes[] = [
  [0, 0x90, 60, 1],
  [4 * S, 0x80, 60, 0],
  [8 * S, 0xb0, 1, 0],
];

function playing(): VirtualRun {
  return new VirtualRun(planOf(timelineOf(SONG)), { clockMicros: CLOCKS }).send({ kind: 'play' });
}

/** Sync messages alone, as `ms: bytes`. */
const sync = (sent: readonly Sent[]) =>
  sent
    .filter(({ bytes }) => bytes[0]! >= 0xf2)
    .map(({ now, bytes }) => `${Math.round(now / 10) / 100}: ${toHex(bytes)}`);

const clocks = (sent: readonly Sent[]) => sent.filter(({ bytes }) => bytes[0] === 0xf8);

describe('MIDI clock (MIDI 1.0, p. 27–31)', () => {
  test('Start, then at least 1 ms, then a clock: 24 to the quarter', () => {
    const run = playing().to(S + 2_000);
    expect(sync(run.sent).slice(0, 3)).toEqual(['0: FA', '1.32: F8', '22.15: F8']); // FA takes 0.32 ms
    expect(clocks(run.sent)).toHaveLength(49); // two quarters, and the first of the third
    // The music waits for the same moment.
    expect(run.sent.find(({ bytes }) => bytes[0] === 0x90)?.now).toBe(1_320);
  });

  test('at twice the tempo twice as many', () => {
    const run = playing()
      .send({ kind: 'tempo-scale', scale: 2 })
      .to(S + 2_000);
    expect(clocks(run.sent)).toHaveLength(97);
  });

  test('pause stops, play continues where the follower is, with no pointer', () => {
    const run = playing().to(S);
    const before = clocks(run.sent).length;
    run.outlet.sent.length = 0;
    run
      .send({ kind: 'pause' })
      .to(3 * S)
      .send({ kind: 'play' })
      .to(4 * S);
    const lines = sync(run.sent);
    expect([lines[0], lines[1]]).toEqual(['1000: FC', '3000: FB']);
    expect(lines.filter((line) => line.includes('F2'))).toEqual([]);
    // No clock is lost and none sent twice: the next one is the follower’s next.
    expect(
      clocks(run.sent)[0]!.due - run.sent.find(({ bytes }) => bytes[0] === 0xfb)!.now,
    ).toBeGreaterThanOrEqual(1_000);
    run.toEnd();
    expect(clocks(run.sent).length + before).toBe(CLOCKS.length);
  });

  test('a seek while playing: Stop, pointer, Continue, and the first clock is that of the sixteenth named', () => {
    const run = playing().to(0.3 * S);
    run.outlet.sent.length = 0;
    run.send({ kind: 'seek', micros: 2.6 * S }).to(0.6 * S);
    const lines = sync(run.sent);
    // 2.6 s are 20.8 sixteenths: the follower joins at 21 = 15 hex, which begins at 2.625 s, 25 ms later.
    expect(lines.slice(0, 3)).toEqual(['300: FC', '300: F2 15 00', '300: FB']);
    const first = clocks(run.sent)[0]!;
    const continued = run.sent.find(({ bytes }) => bytes[0] === 0xfb)!;
    expect(first.due - continued.through).toBe(26_000); // the gap of 1 ms and the 25 ms
  });

  test('the pointer’s published example: SPP 10 is 60 clocks (p. 27)', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), { clockMicros: CLOCKS });
    run
      .send({ kind: 'seek', micros: CLOCKS[60]! })
      .send({ kind: 'play' })
      .to(0.01 * S);
    expect(sync(run.sent).slice(0, 2)).toEqual(['0: F2 0A 00', '0: FB']);
  });

  test('beyond 16,383 sixteenths no pointer can name the place: the follower stays stopped', () => {
    const long = Float64Array.from({ length: 6 * 16_400 }, (_, i) => i * 1000);
    const run = new VirtualRun(
      planOf(
        timelineOf([
          [0, 0x90, 60, 1],
          [200 * S, 0x80, 60, 0],
        ]),
      ),
      { clockMicros: long },
    );
    run
      .send({ kind: 'seek', micros: 98.35 * S })
      .send({ kind: 'play' })
      .to(S);
    expect(sync(run.sent)).toEqual([]);
  });

  test('at one moment: the clock, then the song, then the end', () => {
    const song: TimedBytes[] = [
      [0, 0x90, 60, 1],
      [0.5 * S, 0x90, 62, 1],
      [S, 0x80, 62, 0],
    ];
    const run = new VirtualRun(planOf(timelineOf(song)), { clockMicros: CLOCKS })
      .send({ kind: 'play' })
      .toEnd();
    const at = (micros: number) =>
      run.sent.filter(({ now }) => now === micros + 1_320).map(({ bytes }) => toHex(bytes));
    expect(at(0)).toEqual(['F8', '90 3C 01']);
    expect(at(0.5 * S)).toEqual(['F8', '90 3E 01']);
    expect(at(S)).toEqual(['F8', '80 3E 00', '80 3C 40', 'B0 7B 00', 'FC']);
  });

  test('a loop sends the follower back just before the repeat, with time for a clock at A itself', () => {
    const run = playing()
      .send({ kind: 'loop', fromMicros: S, toMicros: 2 * S })
      .to(4.5 * S);
    const lines = sync(run.sent);
    const at = lines.findIndex((line) => line.endsWith('FC'));
    expect(lines.slice(at, at + 4)).toEqual([
      '1996.32: FC',
      '1996.32: F2 08 00',
      '1996.32: FB',
      '2001.32: F8',
    ]);
    // Each round of two quarters has its 48 clocks.
    const rounds = [1, 2].map(
      (round) =>
        clocks(run.sent).filter(({ now }) => now >= round * S + S + 1_320 && now < round * S + 2 * S + 1_320)
          .length,
    );
    expect(rounds).toEqual([48, 48]);
  });

  test('stop, end and quit stop the follower', () => {
    for (const kind of ['stop', 'quit'] as const) {
      expect(sync(playing().to(S).send({ kind }).sent).at(-1)).toBe('1000: FC');
    }
    expect(sync(playing().toEnd().sent).at(-1)).toMatch(/FC$/);
  });
});
