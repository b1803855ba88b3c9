import type { FlagsOf } from './flags-of.ts';

/** Whether a run is shown on the screen: nothing asks for lines alone, and there is a terminal to show it and take keys. */
export function wantsScreen({
  headless,
  plain,
  clock,
}: Pick<FlagsOf<'play'>, 'headless' | 'plain' | 'clock'>): boolean {
  return !headless && !plain && clock === 'real' && process.stdout.isTTY && process.stdin.isTTY;
}
