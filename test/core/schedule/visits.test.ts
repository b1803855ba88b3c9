import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { Time } from '../../../src/core/schedule/scheduler-times.ts';
import { VisitorInput } from '../../../src/core/schedule/visitor.ts';
import { hex, toHex } from '../../support/hex.ts';
import { planOf, timelineOf } from '../../support/timeline-of.ts';
import { type RunOptions, VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;

/** A song on channel 1 with its modulation at 30, playing; somebody plays along on the channels they choose. */
function along(options: RunOptions = { visitorChannel: 'as-played' }) {
  const song = timelineOf([
    [0, 0xb0, 1, 30],
    [0, 0x90, 60, 1],
    [9 * S, 0x80, 60, 0],
  ]);
  const run = new VirtualRun(planOf(song), options);
  const visit = (status: number, data1: number, data2: number) => theirs.push(toHex([status, data1, data2]));
  const theirs: string[] = [];
  Object.assign(run.outlet, { visit });
  run.send({ kind: 'play' }).to(S);
  run.outlet.sent.length = 0;
  const { visits } = run.scheduler;
  return {
    run,
    visits,
    theirs,
    play: (bytes: string) => visits.bytes(hex(bytes), hex(bytes).length, Float64Array.of(run.now)),
    songs: () => run.outlet.sent.splice(0).map(({ bytes }) => toHex(bytes)),
    next: () => {
      const into = Float64Array.of(Infinity);
      visits.next(into);
      return into[0];
    },
  };
}

describe('how somebody who plays along gets into a run', () => {
  test('what they play passes, until all is silent for good', () => {
    const { play, theirs, run } = along();
    play('91 40 05');
    expect(theirs.splice(0)).toEqual(['91 40 05']);
    run.send({ kind: 'quit' });
    theirs.length = 0;
    play('91 41 05');
    expect(theirs).toEqual([]);
  });

  test.each([
    ['gone', VisitorInput.gone],
    ['ended', VisitorInput.ended],
  ])('their keyboard is %s: they let go, and what they moved is as the song wants it', (_, what) => {
    const { play, visits, theirs, songs, run } = along();
    play('90 40 05 B0 01 7F 91 41 05 B1 01 7F');
    theirs.length = 0;
    visits.input(what);
    expect(theirs).toEqual(['80 40 40', '81 41 40', 'B0 01 00', 'B1 01 00']);
    expect(songs()).toEqual(['B0 01 1E']);
    expect(run.observed.numbers[Slot.visitorInput]).toBe(what);
  });

  test('their keyboard is there: nothing is let go', () => {
    const { play, visits, theirs, run } = along();
    play('90 40 05');
    visits.input(VisitorInput.there);
    expect(theirs).toHaveLength(1);
    expect(run.observed.numbers[Slot.visitorInput]).toBe(VisitorInput.there);
  });

  test('something of theirs was lost, a note-off perhaps: they let go', () => {
    const { play, visits, theirs } = along();
    play('90 40 05');
    visits.cut();
    expect(theirs).toEqual(['90 40 05', '80 40 40']);
  });

  test('while the song does not run nothing of it is told again', () => {
    const { play, visits, theirs, songs, run } = along();
    play('B0 01 7F');
    run.send({ kind: 'pause' });
    songs();
    theirs.length = 0;
    visits.cut();
    expect([theirs, songs()]).toEqual([['B0 01 00'], []]);
  });

  test('when their Active Sensing fails to come: looked for when it can have failed, and not after the end', () => {
    const { play, visits, theirs, run, next } = along();
    expect(next()).toBe(Infinity);
    play('90 40 05 FE');
    expect(next()).toBe(S + 330_001);
    run.scheduler.times[Time.now] = S + 330_000;
    visits.look();
    expect(theirs).toHaveLength(1);
    run.scheduler.times[Time.now] = S + 330_001;
    visits.look();
    expect(theirs).toEqual(['90 40 05', '80 40 40']);
    play('FE');
    expect(next()).toBeLessThan(Infinity);
    run.send({ kind: 'quit' });
    expect(next()).toBe(Infinity);
  });

  test('where nobody may, nothing comes of it', () => {
    const { play, visits, theirs, songs, next } = along({});
    play('90 40 05');
    visits.cut();
    visits.look();
    expect([theirs, songs(), next()]).toEqual([[], [], Infinity]);
  });
});
