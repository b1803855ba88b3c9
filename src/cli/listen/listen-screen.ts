import type { AgainstSong } from '../../listen/against-song.ts';
import type { Listener, ListenOptions } from '../../listen/listener.ts';
import { startWorkerListener } from '../../listen/worker-listener.ts';
import { fetchedInstrument } from '../../profile/instrument-shelf.ts';
import { inkScreen } from '../../screen/ink-frame/ink-screen.ts';
import { listeningView } from '../../screen/listen/listening-view.ts';
import { runScreen } from '../../screen/run-screen.tsx';
import { type TerminalFlags, takeTerminal } from '../take-terminal.ts';

export interface ScreenListenFlags extends TerminalFlags {
  readonly stuckAfter: number;
  readonly instrument?: string;
}

/** The screen on an input, until the person leaves or the input ends. Returns the closed listener. */
export async function listenOnScreen(
  options: ListenOptions,
  flags: ScreenListenFlags,
  against?: AgainstSong,
): Promise<Listener> {
  const instrument = flags.instrument === undefined ? undefined : fetchedInstrument(flags.instrument);
  // What cannot be opened is refused before the terminal is taken.
  const listener = await startWorkerListener(options);
  const taken = takeTerminal(flags, { quit: () => listener.close() });
  const screen = inkScreen(taken.terminal);
  try {
    await runScreen({
      player: listener,
      listen: listener.listen,
      screen,
      ...(against === undefined ? {} : { against }),
      theme: taken.theme,
      song: listeningView(options.from, options.thru === undefined, instrument),
      stuckAfterMicros: flags.stuckAfter * 1e6,
    });
    await listener.close();
    const end = await listener.ended;
    if (end.kind === 'fault') throw end.error;
  } finally {
    taken.release();
    screen.close();
  }
  return listener;
}
