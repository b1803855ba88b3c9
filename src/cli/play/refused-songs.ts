import { basename } from 'node:path';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import type { Refusal } from '../../trouble/refusal.ts';

/** The songs of a run that were refused: a value that is wrong for each of them is told once. */
export class RefusedSongs {
  readonly #songs = new Map<string, string[]>();

  /**
   * True where this trouble has not been told yet. A flag's is the same for every song, also where it names a file
   * of each song's own (`take-2.mid`).
   */
  add(path: string, { where, what }: Refusal): boolean {
    const trouble = where.startsWith(path) ? `${where}: ${what}` : what;
    const songs = this.#songs.get(trouble) ?? [];
    songs.push(path);
    this.#songs.set(trouble, songs);
    return songs.length === 1;
  }

  /** What a trouble told once leaves open: which songs it stands for, where it is neither one of them nor all. */
  summary(songCount: number): string[] {
    const lines: string[] = [];
    for (const songs of this.#songs.values()) {
      if (songs.length === 1 || songs.length === songCount) continue;
      const names = songs.map((path) => cleanText(basename(path))).join(', ');
      lines.push(
        `wirepit: ${songs.length} of ${songCount} songs were not played, for the same reason: ${names}`,
      );
    }
    return lines;
  }
}
