import { inkStage } from '../../screen/ink-stage.ts';
import { wordsFrame } from '../../screen/words-frame.ts';
import type { WatchedSong, WatchLink } from '../../watch/watch-link.ts';
import { songViewOf } from '../play/song-view-of.ts';
import { type TakenTerminal, takeTerminal } from '../take-terminal.ts';
import type { WatchFlags } from './watch-flags.ts';
import { watchedSong } from './watched-view.ts';

/** A song that is on comes at once; only who attaches between songs has to be told something. */
const PATIENCE_MS = 150;

/** Between songs there is what the show last said, and the last song's screen after one. */
async function nextSong(
  link: WatchLink,
  { terminal, theme }: TakenTerminal,
): Promise<WatchedSong | undefined> {
  const next = link.nextSong();
  const stopListening = terminal.inputs.listen({
    key: ({ name }) => {
      if (name === 'q' || name === 'ctrl-c') link.close();
    },
  });
  const waiting = setTimeout(() => {
    terminal.show(wordsFrame(() => link.words || `${link.show}: no song is on`, 'q leave', theme));
  }, PATIENCE_MS);
  try {
    return await next;
  } finally {
    clearTimeout(waiting);
    stopListening();
  }
}

/** The show's own screen, here: song after song until whoever watches leaves or the show is over. */
export async function watchOnScreen(link: WatchLink, flags: WatchFlags): Promise<void> {
  const taken = takeTerminal(flags, { quit: async () => link.close() });
  const stage = inkStage(taken.terminal);
  try {
    for (;;) {
      const watched = await nextSong(link, taken);
      if (watched === undefined) return;
      const { player, song } = watched;
      const view = songViewOf(await watchedSong(song));
      const outcome = await stage.run({
        player,
        theme: taken.theme,
        song: link.control ? view : { ...view, keyRole: 'onlooker' },
        stuckAfterMicros: flags.stuckAfter * 1e6,
        notice: song.words,
      });
      if (outcome.kind === 'quit') return;
    }
  } finally {
    link.close();
    taken.release();
    stage.close();
  }
}
