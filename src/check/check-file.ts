import type { CheckOptions } from '../core/report/check-options.ts';
import { checkSong } from '../core/report/check-song.ts';
import { CHECK_SCHEMA, type SongCheck } from '../core/report/song-check.ts';
import type { ImageBoard } from '../files/image-file.ts';
import { loadSong } from '../files/load-song.ts';
import { type Stretch, stretchSeconds } from '../files/song-stretch.ts';
import { Refusal } from '../trouble/refusal.ts';

/** A song that could not be read: what `--json` prints of it. */
export interface UnreadableCheck {
  readonly schema: typeof CHECK_SCHEMA;
  readonly file: string;
  readonly verdict: 'unreadable';
  readonly error: { readonly what: string; readonly where: string; readonly nextStep: string };
}

export type FileCheck = SongCheck | UnreadableCheck;

/** A check, and the seconds of each stretch that was asked for, or why there is no such stretch. */
export interface CheckWithStretches {
  readonly check: FileCheck;
  readonly stretches: readonly (number | string)[];
}

/** One file, read and checked; a prepared song is held against the board as well. A refusal becomes a result: the other songs go on. */
export function checkFile(path: string, options: Partial<CheckOptions>, board?: ImageBoard): FileCheck {
  return checkWithStretches(path, [], options, board).check;
}

/** The same, and from the one reading how long parts of the song are, as a set plays them. */
export function checkWithStretches(
  path: string,
  wanted: readonly Stretch[],
  options: Partial<CheckOptions>,
  board?: ImageBoard,
): CheckWithStretches {
  try {
    const { song, timeline } = loadSong(path, board, options.songPort);
    const stretches = wanted.map((stretch) => stretchSeconds(stretch, timeline));
    return { check: checkSong(path, song, timeline, options), stretches };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const { what, where, nextStep } = error;
    const check = {
      schema: CHECK_SCHEMA,
      file: path,
      verdict: 'unreadable',
      error: { what, where, nextStep },
    } as const;
    return { check, stretches: wanted.map(() => error.message) };
  }
}
