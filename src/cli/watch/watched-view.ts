import type { SongOn } from '../../watch/watch-frames.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { loadToPlay } from '../play/load-to-play.ts';
import { type PreparedPlay, preparePlay } from '../play/prepare-play.ts';

/**
 * The song that is on, made ready here as the show has done it: plan, names and markers are reckoned anew, and only what
 * passes on the wire comes from there.
 * @throws Refusal when its file cannot be read any more
 */
export async function watchedSong({ path, flags }: SongOn): Promise<PreparedPlay> {
  const playFlags = flags as PlayFlags;
  await fetchNamedInstruments([playFlags]);
  return preparePlay(await loadToPlay(path, playFlags), playFlags);
}
