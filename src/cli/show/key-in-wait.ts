import { setTimeout as after } from 'node:timers/promises';
import { isOnceMore } from '../../screen/state/once-more.ts';
import type { InputListeners } from '../../screen/terminal/input-listeners.ts';
import type { Leave } from './show-stage.ts';

/** The next key that means something, or so many seconds, whichever comes first. @param forKey only a key ends it */
export async function keyOrTime(
  inputs: Pick<InputListeners, 'listen'>,
  isVisitor: boolean,
  { seconds, forKey }: { readonly seconds: number; readonly forKey: boolean },
): Promise<Leave> {
  const key = keyInWait(inputs, isVisitor);
  const time = new AbortController();
  try {
    if (forKey) return await key.pressed;
    const over = after(seconds * 1000, 'ended' as const, { signal: time.signal }).catch(
      () => 'ended' as const,
    );
    return await Promise.race([key.pressed, over]);
  } finally {
    key.stop();
    time.abort();
  }
}

/** What somebody presses between two songs. Visitors may only begin the next one; ending the show takes ctrl-c twice. */
export function keyInWait(
  inputs: Pick<InputListeners, 'listen'>,
  isVisitor: boolean,
): { readonly pressed: Promise<Leave>; stop(): void } {
  let stop = (): void => {};
  let firstMicros = Number.NEGATIVE_INFINITY;
  const pressed = new Promise<Leave>((resolve) => {
    stop = inputs.listen({
      key: ({ name }) => {
        if (name === 'space' || name === 'enter') resolve('ended');
        else if (name === 'ctrl-c' && isVisitor) {
          const nowMicros = performance.now() * 1000;
          if (isOnceMore(firstMicros, nowMicros)) resolve('quit');
          firstMicros = nowMicros;
        } else if (isVisitor) return;
        else if (name === 'N') resolve('next');
        else if (name === 'P') resolve('previous');
        else if (name === 'q' || name === 'ctrl-c') resolve('quit');
      },
    });
  });
  return { pressed, stop: () => stop() };
}
