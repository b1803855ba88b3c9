import { STUCK_LIMITS } from '../../core/observe/stuck-notes.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import { statusLine } from '../../screen/plain/status-line.ts';
import type { WatchLink } from '../../watch/watch-link.ts';
import { planPlay } from '../play/prepare-play.ts';
import { songViewOf } from '../play/song-view-of.ts';
import { troubleOf } from '../trouble.ts';
import type { WatchFlags } from './watch-flags.ts';
import { watchedSong } from './watched-view.ts';

const STATUS_EVERY_MS = 10_000;
/** The first picture is here by then. */
const FIRST_STATUS_MS = 200;

/** A line for each song, and one now and then of how it stands, on standard error. */
export async function watchHeadless(link: WatchLink, flags: WatchFlags): Promise<void> {
  const tell = (words: string): void => void process.stderr.write(`${words}\n`);
  const removeWaysOut = installWaysOut({
    quit: async () => link.close(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, false).line}\n`),
  });
  const limits = { ...STUCK_LIMITS, longMicros: flags.stuckAfter * 1e6 };
  try {
    for (;;) {
      const watched = await link.nextSong();
      if (watched === undefined) return;
      const { player, song } = watched;
      tell(song.words);
      const view = songViewOf(planPlay(await watchedSong(song)));
      const status = (): void => tell(statusLine(player.observed, view, player.nowMicros(), limits));
      const first = setTimeout(status, FIRST_STATUS_MS);
      const timer = setInterval(status, STATUS_EVERY_MS);
      await player.ended;
      clearTimeout(first);
      clearInterval(timer);
    }
  } finally {
    link.close();
    removeWaysOut();
  }
}
