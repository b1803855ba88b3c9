import { startEngineThread } from '../../engine/run/engine-thread.ts';
import { openingFrame } from '../../screen/opening-frame.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import type { SongSet } from '../options/song-set.ts';
import { takeTerminal } from '../take-terminal.ts';
import { closeInputs, openInputs } from './inputs.ts';
import { intendPlay } from './intend-play.ts';
import { loadToPlay } from './load-to-play.ts';
import { pauseForStop } from './pause-for-stop.ts';
import { plainSongView } from './plain-song-view.ts';
import type { Show } from './screen-run.ts';

/**
 * The first frame, and then everything else: what is loaded and reckoned before the first frame is only what it
 * takes to read the song, to refuse what cannot be played, and to paint.
 */
export async function openPlayScreen(set: SongSet, flags: PlayFlags): Promise<void> {
  // What cannot be opened is refused before the terminal is taken.
  const intent = intendPlay(await loadToPlay(set.paths[0]!, flags), flags);
  const inputs = await openInputs(flags);
  const show: Show = { player: undefined, resume: false };
  const taken = takeTerminal(flags, {
    quit: async () => show.player?.close(),
    beforeStop: () => pauseForStop(show),
    onContinued: () => {
      if (show.resume) show.player?.send({ kind: 'play' });
    },
  });
  try {
    taken.terminal.show(openingFrame(plainSongView(intent), taken.theme));
    taken.terminal.drawNow();
    // Not before the first frame, for which it would compete; it compiles its code while the plan is made.
    const thread = startEngineThread();
    const { playOnTerminal } = await import('./play-screen.ts');
    await playOnTerminal({ set, flags, intent, show, taken, inputs }, thread);
  } finally {
    taken.release();
    await closeInputs(inputs);
  }
}
