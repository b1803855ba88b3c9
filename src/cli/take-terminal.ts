import { installWaysOut } from '../engine/watch/ways-out.ts';
import { type ColourDepth, colourDepthFrom } from '../screen/terminal/colour-depth.ts';
import {
  type TerminalEvents,
  type TerminalOptions,
  TerminalScreen,
} from '../screen/terminal/terminal-screen.ts';
import { type ThemeChoice, themeFromEnvironment } from '../screen/theme/theme.ts';
import { troubleOf } from './trouble.ts';

export interface TerminalFlags {
  readonly ascii?: boolean;
  readonly background?: 'dark' | 'light';
  readonly mouse?: boolean;
  readonly colours?: 'none' | '16' | '256';
}

export interface TerminalHooks extends Pick<TerminalEvents, 'beforeStop' | 'onContinued'> {
  /** Ends everything that runs, silence first. */
  readonly quit: () => Promise<unknown>;
}

export interface TakenTerminal {
  readonly terminal: TerminalScreen;
  readonly theme: ThemeChoice;
  /** Gives the terminal back; signals end the process at once from here on. */
  release(): void;
}

/**
 * Takes the terminal for the screen, and sees to it that every way out gives it back and is silent: the ways out
 * are in force before the first byte is written. Ink is not loaded here (`inkScreen` does that).
 */
export function takeTerminal(flags: TerminalFlags, { quit, ...events }: TerminalHooks): TakenTerminal {
  const depth = depthOf(flags) ?? colourDepthFrom(process.env);
  const theme = themeFromEnvironment(process.env, {
    ...(flags.ascii ? { ascii: true } : {}),
    ...(flags.background === undefined ? {} : { background: flags.background }),
    colours: depth,
  });
  const terminal = new TerminalScreen(
    {
      input: process.stdin,
      output: process.stdout as TerminalOptions['output'],
      depth,
      isAscii: theme.ascii,
      mouse: flags.mouse ?? false,
    },
    events,
  );
  const removeWaysOut = installWaysOut({
    quit,
    restore: () => terminal.restore(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, process.env.WIREPIT_TRACE === '1').line}\n`),
  });
  terminal.open();
  return {
    terminal,
    theme,
    release() {
      terminal.restore();
      removeWaysOut();
    },
  };
}

function depthOf({ colours }: TerminalFlags): ColourDepth | undefined {
  return colours === undefined ? undefined : COLOUR_DEPTHS[colours];
}

const COLOUR_DEPTHS = { none: 0, '16': 16, '256': 256 } as const;
