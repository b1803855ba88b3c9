import { type LoadedSong, loadSong } from '../../files/load-song.ts';
import { boardOf } from '../options/named-board.ts';
import type { PlayFlags } from '../options/play-flags.ts';

/**
 * A song as it is to be played: with `--fit` made to fit the instrument first.
 * @param tell is given a line about what the fit changed
 */
export async function loadToPlay(
  path: string,
  flags: PlayFlags,
  tell: (line: string) => void = () => {},
): Promise<LoadedSong> {
  const loaded = loadSong(path, await boardOf(flags));
  if (!flags.fit) return loaded;
  // Only those who ask for it load it.
  const { fittedSong, fittedWords } = await import('../fit/fitted-song.ts');
  const fitted = fittedSong(loaded, flags);
  tell(fittedWords(fitted));
  return fitted.loaded;
}
