import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { Transport } from '../../../src/core/schedule/transport-board.ts';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { type RunOptions, VirtualRun } from '../../support/virtual-run.ts';

/** The places at which one rule ends and another begins: each was once changed without a test that noticed. */
const S = 1_000_000;
const GM_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
const VOLUME = [0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, 0x40, 0xf7];

function songOf(messages: readonly TimedBytes[], options: RunOptions = {}): VirtualRun {
  return new VirtualRun(planOf(timelineOf(messages)), options);
}

function lines(run: VirtualRun): string[] {
  return run.outlet.sent.splice(0).map(({ now, bytes }) => `${now / 1000}: ${toHex(bytes)}`);
}

const NOTES: TimedBytes[] = [
  [0, 0x90, 60, 1],
  [2 * S, 0x80, 60, 0],
  [3 * S, 0x90, 62, 2],
  [4 * S, 0x80, 62, 0],
];

describe('a loop', () => {
  test('of ten milliseconds is one, of a microsecond less is none and shows none', () => {
    const { numbers } = songOf(NOTES).send({ kind: 'loop', fromMicros: S, toMicros: S + 10_000 }).observed;
    expect([numbers[Slot.loopFromMicros], numbers[Slot.loopToMicros]]).toEqual([S, S + 10_000]);
    const none = songOf(NOTES).send({ kind: 'loop', fromMicros: S, toMicros: S + 9_999 }).observed.numbers;
    expect([none[Slot.loopFromMicros], none[Slot.loopToMicros]]).toEqual([-1, -1]);
  });

  test('taken away it shows none', () => {
    const run = songOf(NOTES).send({ kind: 'loop', fromMicros: S, toMicros: 2 * S });
    const { numbers } = run.send({ kind: 'loop-off' }).observed;
    expect([numbers[Slot.loopFromMicros], numbers[Slot.loopToMicros]]).toEqual([-1, -1]);
  });

  test('set with the position just before its end waits; exactly at its end it begins anew', () => {
    const run = songOf(NOTES)
      .send({ kind: 'play' })
      .to(2 * S - 1);
    run.send({ kind: 'loop', fromMicros: S, toMicros: 2 * S });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(2 * S - 1);
    const at = songOf(NOTES)
      .send({ kind: 'play' })
      .to(2 * S);
    at.send({ kind: 'loop', fromMicros: S, toMicros: 2 * S });
    expect(at.observed.numbers[Slot.positionMicros]).toBe(S);
  });

  test('set while stopped behind it moves the place, and says nothing', () => {
    const run = songOf(NOTES).send({ kind: 'seek', micros: 3.5 * S });
    run.send({ kind: 'loop', fromMicros: S, toMicros: 2 * S });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(S);
    expect(lines(run)).toEqual([]);
  });

  test('strikes again at each repeat what sounds at A, where that is wanted', () => {
    const run = songOf(NOTES, { restrike: true })
      .send({ kind: 'loop', fromMicros: S, toMicros: 1.5 * S })
      .send({ kind: 'play' })
      .to(2.2 * S);
    expect(lines(run).filter((line) => / 90 /.test(line))).toEqual([
      '0: 90 3C 01',
      '1500: 90 3C 01',
      '2000: 90 3C 01',
    ]);
  });

  test('changed after the follower was sent back: the follower is told where the music really is', () => {
    const clockMicros = Float64Array.from({ length: 24 * 8 + 1 }, (_, i) => Math.round((i * 500_000) / 24));
    const run = songOf(NOTES, { clockMicros })
      .send({ kind: 'loop', fromMicros: 0.5 * S, toMicros: S })
      .send({ kind: 'play' })
      .to(0.999 * S);
    expect(
      lines(run)
        .slice(-3)
        .map((line) => line.split(': ')[1]),
    ).toEqual(['FC', 'F2 04 00', 'FB']);
    run.send({ kind: 'loop', fromMicros: 0.5 * S, toMicros: 2 * S }).to(1.2 * S);
    // The place is 0.99768 s; the next sixteenth that a pointer can name is the 8th, at 1 s, and its clock is the next.
    expect(
      lines(run)
        .slice(0, 4)
        .map((line) => line.replace(/\.\d+:/, ':')),
    ).toEqual(['999: FC', '999: F2 08 00', '999: FB', '1001: F8']);
  });
});

describe('rows at the edge of what is played', () => {
  test('a note released late but due before the place is not struck there, and its note-off does not go out', () => {
    const columns = timelineOf([
      [0.5 * S, 0x90, 60, 1],
      [0.6 * S, 0x80, 60, 0],
      [0.7 * S, 0x90, 62, 1],
      [0.8 * S, 0x80, 62, 0],
    ]);
    const run = new VirtualRun(planOf(columns, new Map([[0, 0.51 * S]])));
    run
      .send({ kind: 'seek', micros: 0.505 * S })
      .send({ kind: 'play' })
      .to(0.25 * S);
    expect(lines(run)).toEqual(['195: 90 3E 01']);
  });

  test('late SysEx of state is left out and caught up with; a reset goes out however late', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [S, ...VOLUME],
      [1.1 * S, 0xb0, 7, 9],
      [1.2 * S, ...GM_ON],
      [3 * S, 0x80, 60, 0],
    ])
      .send({ kind: 'play' })
      .to(0.5 * S);
    lines(run);
    run.stallTo(1.4 * S).to(2 * S);
    const sent = lines(run);
    expect(sent).toContain(`1400: ${toHex(GM_ON)}`);
    // What the reset has put out of force is not told again.
    expect(sent.filter((line) => line.includes('F0 7F'))).toEqual([]);
  });

  test('late SysEx alone: told once, when the lateness is over', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [S, ...VOLUME],
      [3 * S, 0x80, 60, 0],
    ])
      .send({ kind: 'play' })
      .to(0.5 * S);
    lines(run);
    run.stallTo(1.4 * S).to(2 * S);
    expect(lines(run)).toEqual([`1400: ${toHex(VOLUME)}`]);
  });

  test('a payload of one byte is sent', () => {
    const run = songOf(
      [
        [0, 0xf7, 0xf6],
        [S, 0x90, 60, 1],
      ],
      { allowSysEx: true },
    ).send({ kind: 'play' });
    expect(lines(run)).toEqual(['0: F6']);
  });

  test('SysEx of exactly one piece does not make what follows wait; one byte more does', () => {
    const following = (bytes: number): string | undefined => {
      const data = Array.from({ length: bytes - 1 }, () => 0x11); // and F7
      const run = songOf(
        [
          [0, 0xf0, 0x7d, ...data.slice(1), 0xf7],
          [0, 0xb0, 7, 1],
          [S, 0x90, 60, 1],
        ],
        { allowSysEx: true },
      )
        .send({ kind: 'play' })
        .to(0.5 * S);
      return lines(run).at(-1);
    };
    expect(following(64)).toBe('0: B0 07 01');
    expect(following(65)).toMatch(/^2\d\.\d+: B0 07 01$/); // 66 bytes take 21.12 ms
  });
});

describe('the transport', () => {
  test('as it begins it shows its place, the song’s own speed, and no count', () => {
    const run = songOf(NOTES, { startMicros: S });
    const { numbers } = run.observed;
    expect([numbers[Slot.transport], numbers[Slot.positionMicros], numbers[Slot.tempoScale]]).toEqual([
      Transport.stopped,
      S,
      1,
    ]);
    run.send({ kind: 'play' });
    expect(numbers[Slot.transport]).toBe(Transport.playing);
  });

  test('play while playing changes nothing', () => {
    const run = songOf(NOTES).send({ kind: 'play' }).to(S);
    lines(run);
    run.send({ kind: 'play' }).to(1.5 * S);
    expect(lines(run)).toEqual([]);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(1.5 * S);
  });

  test('a seek while stopped stays stopped, after the end it is a pause', () => {
    const { numbers } = songOf(NOTES).send({ kind: 'seek', micros: S }).observed;
    expect(numbers[Slot.transport]).toBe(Transport.stopped);
    const ended = songOf(NOTES).send({ kind: 'play' }).toEnd().send({ kind: 'seek', micros: S });
    expect(ended.observed.numbers[Slot.transport]).toBe(Transport.paused);
    expect(ended.observed.numbers[Slot.positionMicros]).toBe(S);
    expect(ended.scheduler.finished).toBe(false);
  });

  test('a pause leaves the position where it was heard last', () => {
    const run = songOf(NOTES)
      .send({ kind: 'play' })
      .to(1.25 * S);
    run
      .stallTo(1.27 * S)
      .send({ kind: 'pause' })
      .to(5 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(1.27 * S);
  });

  test('a chase tells state, and no notes', () => {
    const run = songOf([
      [0, 0xb0, 7, 5],
      [0, 0x90, 7, 6],
      [S, 0x80, 7, 9],
      [2 * S, 0xb0, 1, 1],
      [3 * S, 0x90, 62, 1],
    ]);
    run.send({ kind: 'seek', micros: 2.5 * S }).send({ kind: 'play' });
    expect(lines(run)).toEqual(['0: B0 01 01', '0: B0 07 05']);
  });

  test('told anew in mid-song, the music goes on from where it is', () => {
    const run = songOf(NOTES)
      .send({ kind: 'play' })
      .to(1.5 * S);
    run.scheduler.restate();
    run.to(1.6 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBeGreaterThan(1.4 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBeLessThanOrEqual(1.6 * S);
  });

  test('while the chase is on the wire the position stands', () => {
    const chased: TimedBytes[] = Array.from(
      { length: 30 },
      (_, i): TimedBytes => [0, 0xb0 | (i % 16), 7 + (i >> 4), 9],
    );
    const run = songOf([...chased, [2 * S, 0x90, 60, 1], [3 * S, 0x80, 60, 0]]);
    run.send({ kind: 'seek', micros: S }).send({ kind: 'play' }).to(10_000);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(S);
    expect(run.observed.numbers[Slot.positionAtMicros]).toBeGreaterThan(10_000);
  });
});

describe('along another machine’s clock', () => {
  test('a line of no speed holds the music where it is; the next one moves it', () => {
    const run = songOf(NOTES).follow(0, 1).send({ kind: 'play' }).to(S);
    lines(run);
    run.follow(0, 0).to(4 * S);
    expect(lines(run)).toEqual([]);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(S);
    run.follow(-3 * S, 1).to(5.5 * S);
    expect(lines(run)).toEqual(['5000: 80 3C 00']);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(2.5 * S);
  });

  // Of run time: at half the speed a second is half a second of the song.
  test.each([
    [0.5, 500_000, false],
    [0.5, 500_001, true],
    [0.5, -500_000, false],
    [0.5, -500_001, true],
    [2, 2_000_000, false],
    [2, 2_000_001, true],
  ])('at %d times the speed a line %d µs away is a jump: %s', (scale, away, isJump) => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [9 * S, 0x80, 60, 0],
    ]);
    run
      .follow(0, scale)
      .send({ kind: 'play' })
      .to(2 * S);
    lines(run);
    run.follow(away, scale);
    // A jump ends what sounds; the music goes on from there.
    expect(lines(run)).toEqual(isJump ? ['2000: 80 3C 40', '2000: B0 7B 00'] : []);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(2 * S * scale + away);
    run.to(3 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(3 * S * scale + away);
  });

  test('a line that goes on behind the end is the end', () => {
    const run = songOf(NOTES)
      .follow(0, 1)
      .send({ kind: 'play' })
      .to(3.5 * S);
    run.follow(90 * S, 1).to(3.6 * S);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(4 * S);
    expect(run.observed.numbers[Slot.transport]).toBe(Transport.ended);
  });

  test('it waits for the first pulse with all said, and begins where that says', () => {
    const run = songOf([[0, 0xb0, 7, 9], ...NOTES])
      .follow(0, 0)
      .send({ kind: 'seek', micros: S });
    run.send({ kind: 'play' }).to(2 * S);
    expect(lines(run)).toEqual(['0: B0 07 09']);
    expect(run.observed.numbers[Slot.positionMicros]).toBe(S);
    run.follow(-1.5 * S, 1.25).to(3 * S);
    expect([run.observed.numbers[Slot.positionMicros], run.observed.numbers[Slot.tempoScale]]).toEqual([
      2.25 * S,
      1.25,
    ]);
  });
});
