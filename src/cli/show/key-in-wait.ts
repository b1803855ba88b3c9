import type { InputListeners } from '../../screen/terminal/input-listeners.ts';
import type { Leave } from './show-stage.ts';

const ONCE_MORE_MS = 2000;

/** What somebody presses between two songs. Visitors may only begin the next one; ending the show takes ctrl-c twice. */
export function keyInWait(
  inputs: Pick<InputListeners, 'listen'>,
  isVisitor: boolean,
): { readonly pressed: Promise<Leave>; stop(): void } {
  let stop = (): void => {};
  let endedAt = Number.NEGATIVE_INFINITY;
  const pressed = new Promise<Leave>((resolve) => {
    stop = inputs.listen({
      key: ({ name }) => {
        if (name === 'space' || name === 'enter') resolve('ended');
        else if (name === 'ctrl-c' && isVisitor) {
          if (performance.now() - endedAt < ONCE_MORE_MS) resolve('quit');
          endedAt = performance.now();
        } else if (isVisitor) return;
        else if (name === 'N') resolve('next');
        else if (name === 'P') resolve('previous');
        else if (name === 'q' || name === 'ctrl-c') resolve('quit');
      },
    });
  });
  return { pressed, stop: () => stop() };
}
