import { readSong } from '../core/smf/read-song.ts';
import type { Song } from '../core/smf/song.ts';
import { UnreadableSong } from '../core/smf/unreadable-song.ts';
import { buildTimeline } from '../core/timeline/build-timeline.ts';
import type { Timeline } from '../core/timeline/timeline.ts';
import { openSongFile } from '../files/open-song.ts';
import { Refusal } from '../files/refusal.ts';

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
      throw new Refusal(error.reason, `${path}, byte ${error.offset}`, error.nextStep);
    }
    throw error;
  }
}
