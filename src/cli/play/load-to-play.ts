import { type LoadedSong, loadSong } from '../../files/load-song.ts';
import { boardOf } from '../options/named-board.ts';
import type { PlayFlags } from '../options/play-flags.ts';

/** A song as it is to be played: with `--fit` made to fit the instrument first; `changed` says what became of it. */
export async function loadToPlay(path: string, flags: PlayFlags): Promise<LoadedSong> {
  const loaded = loadSong(path, await boardOf(flags), flags.songPort);
  if (!flags.fit) return loaded;
  // Only those who ask for it load it.
  const { fittedSong, fittedWords } = await import('../fit/fitted-song.ts');
  const fitted = fittedSong(loaded, flags);
  return { ...fitted.loaded, changed: [loaded.changed, fittedWords(fitted)].filter(Boolean).join('; ') };
}
