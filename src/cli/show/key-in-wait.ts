import { isOnceMore } from '../../screen/state/once-more.ts';
import type { InputListeners } from '../../screen/terminal/input-listeners.ts';
import type { Leave } from './show-stage.ts';

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
