import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;

/** A note every 20 ms for three seconds, each 15 ms long, with volume rising beside it; pedal down at the start. */
const DENSE: TimedBytes[] = [[0, 0xb0, 64, 127]];
for (let i = 0; i < 150; i += 1) {
  DENSE.push(
    [i * 20_000, 0xb0, 7, i % 128],
    [i * 20_000, 0x90, 60, 1 + (i % 127)],
    [i * 20_000 + 15_000, 0x80, 60, 0],
  );
}

function playing(): VirtualRun {
  const run = new VirtualRun(planOf(timelineOf(DENSE))).send({ kind: 'play' }).to(0.5 * S);
  run.outlet.sent.length = 0;
  return run;
}

function lines(run: VirtualRun): string[] {
  return run.outlet.sent.splice(0).map(({ now, bytes }) => `${now / 1000}: ${toHex(bytes)}`);
}

describe('late wake-ups (docs/timing.md)', () => {
  test('up to 50 ms late everything is sent, in order', () => {
    const run = playing().stallTo(0.56 * S);
    expect(run.sent.filter(({ bytes }) => bytes[0] === 0x90)).toHaveLength(3); // 520, 540, 560 ms
    expect(run.observed.numbers[Slot.skippedNoteOns]).toBe(0);
  });

  test('beyond that old note-ons are skipped and counted; note-offs go, state is caught up with in one go', () => {
    const run = playing().stallTo(0.7 * S);
    // Note-ons of 520–640 ms are older than 50 ms; those of 660–700 ms are not.
    expect(run.observed.numbers[Slot.skippedNoteOns]).toBe(7);
    expect(lines(run)).toEqual([
      '700: 80 3C 00', // of the note at 500 ms
      '700: B0 07 20', // volume of 640 ms, once
      '700: B0 07 21',
      '700: 90 3C 22',
      '700: 80 3C 00',
      '700: B0 07 22',
      '700: 90 3C 23',
      '700: 80 3C 00',
      '700: B0 07 23',
      '700: 90 3C 24',
    ]);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(0.7 * S);
    expect(run.observed.numbers[Slot.stalls]).toBe(0);
  });

  test('when the machine slept the music waits: silence, then on from where it was', () => {
    const run = playing().stallTo(100 * S);
    expect(lines(run)).toEqual(['100000: 80 3C 40', '100000: B0 40 00', '100000: B0 7B 00']);
    expect(run.observed.numbers[Slot.stalls]).toBe(1);
    run.to(100.1 * S);
    // The note-off at 515 ms was due first, so 515 ms is where it goes on, after nine bytes and the pedal.
    expect(lines(run).slice(0, 3)).toEqual([
      '100000: B0 40 7F',
      '100008.84: B0 07 1A',
      '100008.84: 90 3C 1B',
    ]);
    expect(run.observed.numbers[Slot.skippedNoteOns]).toBe(0);
  });

  test('after the sleep the next note is played, and nothing is struck for it twice', () => {
    const run = new VirtualRun(
      planOf(
        timelineOf([
          [0, 0x90, 60, 1],
          [0.3 * S, 0x80, 60, 0],
          [0.5 * S, 0x90, 62, 2],
          [S, 0x80, 62, 0],
        ]),
      ),
    );
    run.send({ kind: 'play' }).to(0.4 * S);
    lines(run);
    run.stallTo(10 * S).to(20 * S);
    // Three bytes of silence; the music goes on at 0.5 s, where the next thing was to happen.
    expect(lines(run).slice(0, 3)).toEqual(['10000: B0 7B 00', '10000.96: 90 3E 02', '10500.96: 80 3E 00']);
  });

  test('a SysEx that the sleep broke is closed, and is not begun again', () => {
    const long = [0xf0, 0x7d, ...Array.from({ length: 300 }, () => 0x11), 0xf7];
    const run = new VirtualRun(
      planOf(
        timelineOf([
          [0, ...long],
          [0.5 * S, 0x90, 62, 2],
          [S, 0x80, 62, 0],
        ]),
      ),
      { allowSysEx: true },
    );
    run.send({ kind: 'play' }).to(0.03 * S);
    expect(run.outlet.sent.splice(0).map(({ bytes }) => bytes.length)).toEqual([65, 64]);
    run.stallTo(10 * S);
    expect(run.sent.map(({ bytes, due, song }) => [...bytes, due, song])).toEqual([[0xf7, 10 * S, -1]]);
    run.to(11 * S);
    expect(run.sent.slice(1).map(({ bytes }) => toHex(bytes))).toEqual(['90 3E 02']);
  });

  test('held up before its first note, the song waits: the first bar is whole', () => {
    const later = DENSE.map(([micros, ...bytes]): TimedBytes => [micros + 100_000, ...bytes]);
    const run = new VirtualRun(planOf(timelineOf(later)))
      .send({ kind: 'play' })
      .stallTo(0.3 * S)
      .to(0.4 * S);
    const ons = run.sent.filter(({ bytes }) => bytes[0] === 0x90);
    expect(ons.map(({ bytes, now }) => [bytes[2], now])).toEqual(
      [0, 1, 2, 3, 4, 5].map((n) => [n + 1, 0.3 * S + n * 20_000]),
    );
    expect(run.observed.numbers[Slot.skippedNoteOns]).toBe(0);
  });

  test('a long rest is not a stall', () => {
    const run = new VirtualRun(
      planOf(
        timelineOf([
          [0, 0x90, 60, 1],
          [1000, 0x80, 60, 0],
          [60 * S, 0x90, 62, 1],
        ]),
      ),
    );
    run
      .send({ kind: 'play' })
      .to(50 * S)
      .toEnd();
    expect(run.observed.numbers[Slot.stalls]).toBe(0);
    expect(run.sent.find(({ bytes }) => bytes[1] === 62)?.now).toBe(60 * S);
  });
});

test('ten hours of music end on the microsecond', () => {
  const hours = 10 * 3600 * S;
  const messages: TimedBytes[] = [];
  // 7,919 µs is prime to every round figure a clock might favour.
  for (let at = 0; at < hours; at += 7_919 * 101) messages.push([at, 0x90, 60, 1], [at + 7_919, 0x80, 60, 0]);
  const run = new VirtualRun(planOf(timelineOf(messages)));
  run.to(123_456.75).send({ kind: 'play' }).toEnd();
  const drift = run.sent.filter(({ song }) => song >= 0).map(({ now, song }) => now - song - 123_456.75);
  expect(Math.max(...drift.map(Math.abs).slice(-1000))).toBe(0);
  expect(drift.some((micros) => micros !== 0)).toBe(false);
});
