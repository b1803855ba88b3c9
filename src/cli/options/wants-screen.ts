import { isStandardInput } from '../../ports/input-path.ts';
import { canBeDrawnOn, notDrawnOn } from '../output/bare-terminal.ts';
import { forTerminal } from '../output/terminal-text.ts';
import type { FlagsOf } from './flags-of.ts';

type ScreenFlags = Pick<FlagsOf<'play'>, 'headless' | 'plain' | 'clock' | 'follow'>;

/** Whether a run is shown on the screen: nothing asks for lines alone, and there is a terminal to show it and take keys. */
export function wantsScreen(flags: ScreenFlags): boolean {
  return wouldHaveScreen(flags) && canBeDrawnOn();
}

/** The flags for a terminal that cannot be drawn on: what the screen would show is told in words. */
export function inWordsIfBare<Flags extends ScreenFlags>(flags: Flags): Flags {
  if (!wouldHaveScreen(flags) || canBeDrawnOn()) return flags;
  process.stderr.write(`${forTerminal(notDrawnOn(), process.stderr)}\n`);
  return { ...flags, plain: true };
}

function wouldHaveScreen({ headless, plain, clock, follow }: ScreenFlags): boolean {
  // Standard input cannot be both the keyboard and the clock.
  if (isStandardInput(follow)) return false;
  return !headless && !plain && clock === 'real' && process.stdout.isTTY && process.stdin.isTTY;
}
