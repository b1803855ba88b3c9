import type { SongOn } from '../../watch/watch-frames.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { intendPlay, type PlayIntent } from '../play/intend-play.ts';
import { loadToPlay } from '../play/load-to-play.ts';

/**
 * The song that is on, as the show means to play it: names, markers and then the plan are reckoned anew here, and only
 * what passes on the wire comes from there.
 * @throws Refusal when its file cannot be read any more
 */
export async function watchedSong({ path, flags }: SongOn): Promise<PlayIntent> {
  const playFlags = flags as PlayFlags;
  await fetchNamedInstruments([playFlags]);
  return intendPlay(await loadToPlay(path, playFlags), playFlags);
}
