import { readSong } from '../core/smf/read-song.ts';
import type { Song } from '../core/smf/song.ts';
import { UnreadableSong } from '../core/smf/unreadable-song.ts';
import { buildTimeline } from '../core/timeline/build-timeline.ts';
import type { Timeline } from '../core/timeline/timeline.ts';
import { Refusal } from '../trouble/refusal.ts';
import { openSongFile } from './open-song.ts';

export interface LoadedSong {
  readonly path: string;
  readonly song: Song;
  readonly timeline: Timeline;
}

/** File → song → timeline. Refuses, with the file's name, what cannot be played. */
export function loadSong(path: string): LoadedSong {
  const { bytes } = openSongFile(path);
  try {
    const song = readSong(bytes);
    return { path, song, timeline: buildTimeline(song) };
  } catch (error) {
    if (error instanceof UnreadableSong) {
      throw new Refusal(clauseOf(error.reason), `${path}, byte ${error.offset}`, clauseOf(error.nextStep));
    }
    throw error;
  }
}

/** A sentence as a part of a line: without its capital and its full stop. */
function clauseOf(sentence: string): string {
  return sentence.charAt(0).toLowerCase() + sentence.slice(1).replace(/\.$/, '');
}
