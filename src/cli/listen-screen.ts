import { installWaysOut } from '../engine/ways-out.ts';
import type { Listener, ListenOptions } from '../listen/listener.ts';
import { startWorkerListener } from '../listen/worker-listener.ts';
import { openScreen } from '../screen/ink-frame/open-screen.ts';
import { listeningView } from '../screen/listen/listening-view.ts';
import { runScreen } from '../screen/run-screen.tsx';
import { colourDepthFrom } from '../screen/terminal/colour-depth.ts';
import { themeFromEnvironment } from '../screen/theme/theme.ts';
import { troubleOf } from './trouble.ts';

export interface ScreenListenFlags {
  readonly ascii?: boolean;
  readonly background: 'dark' | 'light';
  readonly stuckAfter: number;
}

/** The screen on an input, until the person leaves or the input ends. Returns the closed listener. */
export async function listenOnScreen(options: ListenOptions, flags: ScreenListenFlags): Promise<Listener> {
  // What cannot be opened is refused before the terminal is taken.
  const listener = await startWorkerListener(options);
  const theme = themeFromEnvironment(process.env, {
    ...(flags.ascii ? { ascii: true } : {}),
    background: flags.background,
  });
  const screen = openScreen({
    input: process.stdin,
    output: process.stdout as Parameters<typeof openScreen>[0]['output'],
    depth: colourDepthFrom(process.env),
    isAscii: theme.ascii,
  });
  const removeWaysOut = installWaysOut({
    quit: () => listener.close(),
    restore: () => screen.restore(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, process.env.WIREPIT_TRACE === '1').line}\n`),
  });
  try {
    await runScreen({
      player: listener,
      listen: listener.listen,
      screen,
      theme,
      song: listeningView(options.from),
      stuckAfterMicros: flags.stuckAfter * 1e6,
    });
    await listener.close();
    const end = await listener.ended;
    if (end.kind === 'fault') throw end.error;
  } finally {
    screen.close();
    removeWaysOut();
  }
  return listener;
}
