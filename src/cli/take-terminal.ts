import { installWaysOut } from '../engine/ways-out.ts';
import { openScreen, type Screen, type ScreenOptions } from '../screen/ink-frame/open-screen.ts';
import { colourDepthFrom } from '../screen/terminal/colour-depth.ts';
import { type ThemeChoice, themeFromEnvironment } from '../screen/theme/theme.ts';
import { troubleOf } from './trouble.ts';

export interface TerminalFlags {
  readonly ascii?: boolean;
  readonly background?: 'dark' | 'light';
}

export interface TerminalHooks extends Pick<ScreenOptions, 'beforeStop' | 'onContinued'> {
  /** Ends everything that runs, silence first. */
  readonly quit: () => Promise<unknown>;
}

export interface TakenTerminal {
  readonly screen: Screen;
  readonly theme: ThemeChoice;
  /** Gives the terminal back; signals end the process at once from here on. */
  release(): void;
}

/** Takes the terminal for the screen, and sees to it that every way out gives it back and is silent. */
export function takeTerminal(flags: TerminalFlags, { quit, ...hooks }: TerminalHooks): TakenTerminal {
  const theme = themeFromEnvironment(process.env, {
    ...(flags.ascii ? { ascii: true } : {}),
    ...(flags.background === undefined ? {} : { background: flags.background }),
  });
  const screen = openScreen({
    input: process.stdin,
    output: process.stdout as ScreenOptions['output'],
    depth: colourDepthFrom(process.env),
    isAscii: theme.ascii,
    ...hooks,
  });
  const removeWaysOut = installWaysOut({
    quit,
    restore: () => screen.restore(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, process.env.WIREPIT_TRACE === '1').line}\n`),
  });
  return {
    screen,
    theme,
    release() {
      screen.close();
      removeWaysOut();
    },
  };
}
