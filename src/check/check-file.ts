import type { CheckOptions } from '../core/report/check-options.ts';
import { checkSong } from '../core/report/check-song.ts';
import { CHECK_SCHEMA, type SongCheck } from '../core/report/song-check.ts';
import type { ImageBoard } from '../files/image-file.ts';
import { loadSong } from '../files/load-song.ts';
import { Refusal } from '../trouble/refusal.ts';

/** A song that could not be read: what `--json` prints of it. */
export interface UnreadableCheck {
  readonly schema: typeof CHECK_SCHEMA;
  readonly file: string;
  readonly verdict: 'unreadable';
  readonly error: { readonly what: string; readonly where: string; readonly nextStep: string };
}

export type FileCheck = SongCheck | UnreadableCheck;

/** One file, read and checked; a prepared song is held against the board as well. A refusal becomes a result: the other songs go on. */
export function checkFile(path: string, options: Partial<CheckOptions>, board?: ImageBoard): FileCheck {
  try {
    const { song, timeline } = loadSong(path, board);
    return checkSong(path, song, timeline, options);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const { what, where, nextStep } = error;
    return { schema: CHECK_SCHEMA, file: path, verdict: 'unreadable', error: { what, where, nextStep } };
  }
}
