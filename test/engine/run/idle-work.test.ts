import { describe, expect, test } from 'vitest';
import { VirtualClock } from '../../../src/engine/clock/virtual-clock.ts';
import type { WireOutlet } from '../../../src/engine/lane/wire-outlet.ts';
import type { EngineRun } from '../../../src/engine/run/engine-run.ts';
import { IdleWork } from '../../../src/engine/run/idle-work.ts';
import type { HangWatch } from '../../../src/engine/watch/hang-watch.ts';

const MS = 1000;

/** Idle work on a clock of its own; each thing that is done stands in `did` with its moment (ms). */
function rig(errands: readonly number[] = [], hangs = false) {
  const clock = new VirtualClock();
  const wake = Float64Array.of(Number.POSITIVE_INFINITY);
  const did: string[] = [];
  const say = (what: string) => did.push(`${what} ${clock.nowMicros() / MS}`);
  const run = { wake, lookAfterPorts: () => say('look'), pause: () => say('pause') } as unknown as EngineRun;
  const outlet = { flush: () => say('flush') } as unknown as WireOutlet;
  const watch = {
    hangs() {
      say('watch');
      return hangs;
    },
  } as unknown as HangWatch;
  const work = new IdleWork(
    run,
    outlet,
    watch,
    clock,
    // Each errand takes so many portions of 2 ms.
    errands.map((portions, n) => {
      let left = portions;
      return () => {
        say(`errand${n}`);
        clock.set(clock.nowMicros() + 2 * MS);
        left -= 1;
        return left === 0;
      };
    }),
  );
  /** What is done at a moment with so much time to the next message. */
  const at = (ms: number, gapMs = Number.POSITIVE_INFINITY): string[] => {
    clock.set(ms * MS);
    wake[0] = (ms + gapMs) * MS;
    work.doSome();
    return did.splice(0);
  };
  return { at };
}

describe('what the sending thread does while nothing is due', () => {
  test('each thing at its own pace: ports four times a second, a flush twice, the main thread once', () => {
    const { at } = rig();
    expect(at(0)).toEqual(['flush 0', 'look 0', 'watch 0']);
    expect(at(249)).toEqual([]);
    expect(at(250)).toEqual(['look 250']);
    expect(at(499)).toEqual([]);
    expect(at(500)).toEqual(['flush 500', 'look 500']);
    expect(at(1000)).toEqual(['flush 1000', 'look 1000', 'watch 1000']);
  });

  test('near a message nothing is begun, but a flush does not wait for more than a second', () => {
    const { at } = rig();
    at(0);
    expect(at(600, 2.9)).toEqual([]);
    expect(at(999, 2.9)).toEqual([]);
    expect(at(1000, 2.9)).toEqual(['flush 1000']);
    expect(at(1499, 3)).toEqual(['look 1499', 'watch 1499']);
    expect(at(1500, 3)).toEqual(['flush 1500']);
  });

  test('a main thread that hangs pauses the run', () => {
    expect(rig([], true).at(0)).toEqual(['flush 0', 'look 0', 'watch 0', 'pause 0']);
    expect(rig([], false).at(0)).not.toContain('pause 0');
  });

  test('errands are done one after the other, in gaps, for no longer than a command may wait', () => {
    const { at } = rig([3, 4]);
    const errands = (ms: number, gapMs?: number) => at(ms, gapMs).filter((what) => what.startsWith('errand'));
    // Ten milliseconds are left before the next message; within the first second and a half less is no gap.
    expect(errands(10, 9.9)).toEqual([]);
    expect(errands(20, 10)).toEqual(['errand0 20']);
    expect(errands(30, 13)).toEqual(['errand0 30', 'errand0 32']);
    // At most eight milliseconds, and not a portion begun after that.
    expect(errands(100, 500)).toEqual(['errand1 100', 'errand1 102', 'errand1 104', 'errand1 106']);
    expect(errands(200, 500)).toEqual([]);
  });

  test('a song so dense that it leaves no such gap gets them done in smaller ones after a while', () => {
    const { at } = rig([5]);
    const errands = (ms: number, gapMs: number) => at(ms, gapMs).filter((what) => what.startsWith('errand'));
    expect(errands(1499, 4)).toEqual([]);
    expect(errands(1500, 2.9)).toEqual([]);
    expect(errands(1500, 4)).toEqual(['errand0 1500']);
    expect(errands(1600, 500)).toHaveLength(4);
  });
});
