import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { type RunOptions, VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;

function songOf(messages: TimedBytes[], options: RunOptions = {}): VirtualRun {
  return new VirtualRun(planOf(timelineOf(messages)), options);
}

function lines(run: VirtualRun): string[] {
  return run.outlet.sent.splice(0).map(({ now, bytes }) => `${now / 1000}: ${toHex(bytes)}`);
}

/** General MIDI System On (GM1; MIDI 1.0, Table VIIa). */
const GM_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
/** 7D: the id kept for non-commercial use. */
const MAKERS_OWN = [0xf0, 0x7d, 0x01, 0x02, 0xf7];

describe('what passes', () => {
  test('universal messages do, a maker’s own and escapes are held back and counted', () => {
    const run = songOf([
      [0, ...MAKERS_OWN],
      [0, 0xf0, 0x7f, 0x7f, 0x04, 0x01, 0, 64, 0xf7], // master volume
      [0, 0xf7, 0xf3, 0x01], // an escape: Song Select
      [S, 0x90, 60, 1],
    ]);
    run.send({ kind: 'play' }).to(0.5 * S);
    expect(lines(run)).toEqual(['0: F0 7F 7F 04 01 00 40 F7']);
    expect(run.observed.numbers[Slot.heldSysEx]).toBe(2);
  });

  test('sample and file dumps can overwrite memory: held back too', () => {
    const run = songOf([
      [0, 0xf0, 0x7e, 0x00, 0x01, 0x00, 0xf7],
      [S, 0x90, 60, 1],
    ]).send({ kind: 'play' });
    expect(lines(run)).toEqual([]);
    expect(run.observed.numbers[Slot.heldSysEx]).toBe(1);
  });

  test('continuation packets share the fate of their beginning', () => {
    const split: TimedBytes[] = [
      [0, 0xf0, 0x7d, 0x01],
      [1000, 0xf7, 0x02, 0xf7],
      [S, 0x90, 60, 1],
    ];
    expect(
      lines(
        songOf(split)
          .send({ kind: 'play' })
          .to(0.1 * S),
      ),
    ).toEqual([]);
    const universal: TimedBytes[] = [
      [0, 0xf0, 0x7f, 0x7f, 0x04, 0x01],
      [1000, 0xf7, 0, 64, 0xf7],
      [S, 0x90, 60, 1],
    ];
    expect(
      lines(
        songOf(universal)
          .send({ kind: 'play' })
          .to(0.1 * S),
      ),
    ).toEqual(['0: F0 7F 7F 04 01', '1: 00 40 F7']);
    const allowed = songOf(split, { allowSysEx: true })
      .send({ kind: 'play' })
      .to(0.1 * S);
    expect(lines(allowed)).toEqual(['0: F0 7D 01', '1: 02 F7']);
  });

  test('allowed, a maker’s own passes, and after a seek the last of each is re-sent', () => {
    const run = songOf(
      [
        [0, ...MAKERS_OWN],
        [1, ...MAKERS_OWN],
        [5 * S, 0x90, 60, 1],
      ],
      { allowSysEx: true },
    );
    run
      .send({ kind: 'seek', micros: S })
      .send({ kind: 'play' })
      .to(0.1 * S);
    expect(lines(run)).toEqual(['0: F0 7D 01 02 F7']);
  });
});

describe('settle time after a reset (common practice)', () => {
  test('before the first note the clock waits with the receiver', () => {
    const run = songOf([
      [0, ...GM_ON],
      [0, 0xc0, 5],
      [10_000, 0x90, 60, 1],
      [S, 0x80, 60, 0],
    ]);
    run.send({ kind: 'play' }).toEnd();
    expect(lines(run).slice(0, 4)).toEqual([
      '0: F0 7E 7F 09 01 F7',
      '101.92: C0 05', // 6 bytes take 1.92 ms
      '111.92: 90 3C 01', // still 10 ms after the program
      '1101.92: 80 3C 00',
    ]);
  });

  test('a plan that already leaves the time is not delayed', () => {
    const run = songOf([
      [0, ...GM_ON],
      [200_000, 0x90, 60, 1],
    ])
      .send({ kind: 'play' })
      .toEnd();
    expect(lines(run)[1]).toBe('200: 90 3C 01');
  });

  test('in mid-song messages wait and the clock does not; nothing is skipped', () => {
    const run = songOf([
      [0, 0x90, 60, 1],
      [S, 0x80, 60, 0],
      [S, ...GM_ON],
      [S, 0xc0, 5],
      [1.05 * S, 0x90, 62, 2],
      [2 * S, 0x80, 62, 0],
    ]);
    run.send({ kind: 'play' }).to(2.5 * S);
    expect(lines(run).slice(2, 6)).toEqual([
      '1000: F0 7E 7F 09 01 F7',
      '1102.88: C0 05', // the note-off before it took 0.96 ms
      '1102.88: 90 3E 02',
      '2000: 80 3E 00',
    ]);
    expect(run.observed.numbers[Slot.skippedNoteOns]).toBe(0);
  });

  test('the time can be chosen', () => {
    const run = songOf(
      [
        [0, ...GM_ON],
        [0, 0xc0, 5],
      ],
      { settleMicros: 250_000 },
    )
      .send({ kind: 'play' })
      .toEnd();
    expect(lines(run)[1]).toBe('251.92: C0 05');
  });
});

describe('long SysEx', () => {
  const long = [0xf0, 0x7d, ...Array.from({ length: 300 }, (_, i) => i & 127), 0xf7];

  test('goes in pieces of at most 64 bytes, each when the wire has sent the last; notes wait behind it', () => {
    const run = songOf(
      [
        [0, 0x90, 50, 1],
        [1000, ...long],
        [1000, 0x90, 60, 1],
        [S, 0x80, 60, 0],
      ],
      {
        allowSysEx: true,
      },
    );
    run.send({ kind: 'play' }).to(0.5 * S);
    const [, ...pieces] = run.sent;
    expect(pieces.slice(0, 5).flatMap(({ bytes }) => bytes)).toEqual(long);
    for (const [i, piece] of pieces.slice(0, 5).entries()) {
      expect(piece.bytes.length).toBeLessThanOrEqual(65); // F0 and 64
      if (i > 0) expect(piece.now).toBe(pieces[i - 1]!.through);
    }
    expect(pieces[5]).toMatchObject({ bytes: [0x90, 60, 1], now: pieces[4]!.through });
    expect(run.observed.numbers[Slot.skippedNoteOns]).toBe(0);
  });

  test('a pause breaks it off properly before it silences', () => {
    const run = songOf(
      [
        [0, 0x90, 50, 1],
        [0, ...long],
        [S, 0x80, 60, 0],
      ],
      { allowSysEx: true },
    );
    run.send({ kind: 'play' }).to(30_000);
    lines(run);
    run.send({ kind: 'pause' });
    expect(lines(run)).toEqual(['30: F7', '30: 80 32 40', '30: B0 7B 00']);
  });
});

describe('a message in pieces of several escapes', () => {
  const played = (...between: TimedBytes[]) => {
    const song: TimedBytes[] = [[0, 0xf7, 0x90, 60], ...between, [2000, 0xf7, 64], [S, 0xb0, 7, 1]];
    const run = songOf(song, { allowSysEx: true }).send({ kind: 'play' }).to(5000);
    return lines(run).map((line) => line.split(': ')[1]);
  };

  test('is put together, unless another message came between: a receiver would not go on with it', () => {
    expect(played()).toEqual(['90 3C 40']);
    expect(played([1000, 0xb1, 7, 2])).toEqual(['B1 07 02']);
    expect(played([1000, ...MAKERS_OWN])).toEqual(['F0 7D 01 02 F7']);
    // Real-time bytes may stand anywhere (MIDI 1.0, p. 30).
    expect(played([1000, 0xf7, 0xf8])).toEqual(['F8', '90 3C 40']);
  });
});
