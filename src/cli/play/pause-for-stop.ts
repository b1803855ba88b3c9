import { Slot } from '../../core/observe/observed-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import type { Show } from './screen-run.ts';

/** Job control is about to stop every thread: first nothing may sound. */
export async function pauseForStop(show: Show): Promise<void> {
  const { player } = show;
  show.resume = player !== undefined && transportState(player.observed) === 'playing';
  if (player === undefined || !show.resume) return;
  player.send({ kind: 'pause' });
  for (
    let waited = 0;
    waited < STOP_LIMIT_MS && transportState(player.observed) === 'playing';
    waited += LOOK_MS
  ) {
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
  }
  const queuedMicros = player.observed.numbers[Slot.wireFreeMicros]! - player.nowMicros();
  await new Promise((resolve) =>
    setTimeout(resolve, Math.min(STOP_LIMIT_MS, Math.max(0, queuedMicros / 1000))),
  );
}

const STOP_LIMIT_MS = 400;
const LOOK_MS = 5;
