import { describe, expect, test } from 'vitest';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { VirtualRun } from '../../support/virtual-run.ts';

const SONG: TimedBytes[] = [
  [0, 0xc0, 5],
  [0, 0x90, 60, 100],
  [500_000, 0x80, 60, 64],
  [500_000, 0x90, 64, 90],
  [1_000_000, 0x90, 64, 0],
  [1_000_000, 0xb0, 64, 127],
];

const ms = (run: VirtualRun) =>
  run.sent.map(({ now, bytes }) => `${now / 1000} ${bytes.map((b) => b.toString(16)).join(' ')}`);

describe('play', () => {
  test('every message leaves at its moment, then the song ends in silence', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG))).send({ kind: 'play' }).toEnd();
    expect(ms(run)).toEqual([
      '0 c0 5',
      '0 90 3c 64',
      '500 80 3c 40',
      '500 90 40 5a',
      '1000 90 40 0',
      '1000 b0 40 7f',
      '1000 b0 40 0',
      '1000 b0 7b 0',
      '2003.84 b0 78 0',
    ]);
  });
});
