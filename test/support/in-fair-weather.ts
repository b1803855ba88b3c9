import { Worker } from 'node:worker_threads';
import type { TestContext } from 'vitest';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { LATE_MICROS } from '../../src/core/schedule/scheduler.ts';
import type { Player } from '../../src/engine/run/player.ts';

/** The machine held the sending thread up for longer than the music may wait: what was sent proves nothing. */
class FoulWeather extends Error {}

/**
 * Tries something on the real clock until the machine lets it through. A thread that is not woken for 50 ms leaves
 * note-ons out, as it should (docs/timing.md): whether that happens is the machine's affair. A trial asks
 * `judge` before it believes its figures. A player that is late by its own fault is late every time, and fails. Where most times
 * a thread that does nothing but sleep was not woken either, the test is skipped, and says so.
 */
export async function inFairWeather(context: TestContext, trial: () => Promise<void>): Promise<void> {
  let sleeper: Sleeper | undefined;
  let foul = 0;
  try {
    for (let left = ATTEMPTS; ; left -= 1) {
      try {
        return await trial();
      } catch (error) {
        if (!(error instanceof FoulWeather)) throw error;
        if (sleeper?.wasHeldUp() === true) foul += 1;
        if (left === 1 && foul > ATTEMPTS / 2) context.skip(error.message);
        if (left === 1) throw error;
        sleeper ??= new Sleeper();
      }
    }
  } finally {
    await sleeper?.close();
  }
}

/** A thread that does nothing that could be late. */
class Sleeper {
  readonly #longest = new Int32Array(new SharedArrayBuffer(4));
  readonly #thread = new Worker(new URL('./sleeper.mjs', import.meta.url), {
    workerData: this.#longest.buffer,
  });

  /** Since it was asked last: half of what the music may wait, for the two threads share no core. */
  wasHeldUp(): boolean {
    return Atomics.exchange(this.#longest, 0, 0) >= LATE_MICROS / 2;
  }

  async close(): Promise<void> {
    await this.#thread.terminate();
  }
}

/** Throws what `inFairWeather` takes for another trial when the player was held up. Ask it of one that is closed. */
export function judgeWeather(player: Player): void {
  if (!isHeldUp(player)) return;
  const { numbers } = player.observed;
  const late = numbers[Slot.worstHandoverLatenessMicros];
  const skipped = numbers[Slot.skippedNoteOns];
  throw new FoulWeather(
    `in ${ATTEMPTS} trials the sending thread was always held up; last: ${late} µs late, ${skipped} notes left out`,
  );
}

function isHeldUp({ observed: { numbers } }: Player): boolean {
  const late = numbers[Slot.worstHandoverLatenessMicros]! >= LATE_MICROS;
  return late || numbers[Slot.skippedNoteOns]! > 0 || numbers[Slot.stalls]! > 0;
}

/** Waits for something a player does; foul weather ends the waiting, and the player. */
export async function untilPlayer(player: Player, isSo: () => boolean): Promise<void> {
  while (!isSo()) {
    if (isHeldUp(player)) await player.close();
    judgeWeather(player);
    await new Promise((resolve) => setTimeout(resolve, 2));
  }
}

const ATTEMPTS = 12;
