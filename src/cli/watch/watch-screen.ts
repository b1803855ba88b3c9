import { setTimeout as after } from 'node:timers/promises';
import type { InkStage } from '../../screen/ink-stage.ts';
import { wordsFrame } from '../../screen/large/words-frame.ts';
import { openingFrame } from '../../screen/opening-frame.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import type { WatchedSong, WatchLink } from '../../watch/watch-link.ts';
import { plainSongView } from '../play/plain-song-view.ts';
import { type TakenTerminal, takeTerminal } from '../take-terminal.ts';
import type { WatchFlags } from './watch-flags.ts';
import { watchedSong } from './watched-view.ts';

/** A song that is on comes at once, and so does its picture; only who attaches between songs has to be told something. */
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
  const { terminal, theme } = taken;
  const roleOf = (view: SongView): SongView => ({
    ...view,
    isWatched: true,
    ...(link.control ? {} : { keyRole: 'onlooker' as const }),
  });
  let stage: InkStage | undefined;
  try {
    for (;;) {
      const watched = await nextSong(link, taken);
      if (watched === undefined) return;
      const { player, song } = watched;
      const intent = await watchedSong(song);
      if (stage === undefined) {
        // A picture is on its way; without it the lanes would stand still until Ink is here.
        await Promise.race([watched.pictured, player.ended, after(PATIENCE_MS)]);
        // The lanes before Ink and the plan, which take longer than all before them.
        terminal.show(openingFrame(roleOf(plainSongView(intent)), theme, player));
        terminal.drawNow();
        stage = (await import('../../screen/ink-stage.ts')).inkStage(terminal);
      }
      const { planPlay } = await import('../play/prepare-play.ts');
      const { songViewOf } = await import('../play/song-view-of.ts');
      const outcome = await stage.run({
        player,
        theme,
        song: roleOf(songViewOf(planPlay(intent))),
        stuckAfterMicros: flags.stuckAfter * 1e6,
        notice: song.words,
      });
      if (outcome.kind === 'quit') return;
    }
  } finally {
    link.close();
    taken.release();
    stage?.close();
  }
}
