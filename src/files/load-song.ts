import type { SongWishes } from '../core/arrange/fit/song-wishes.ts';
import { songOfImage } from '../core/export/image-song.ts';
import { readSong } from '../core/smf/read-song.ts';
import type { Song } from '../core/smf/song.ts';
import { UnreadableSong } from '../core/smf/unreadable-song.ts';
import { buildTimeline } from '../core/timeline/build-timeline.ts';
import { portsThatSend, songOfPort } from '../core/timeline/song-of-port.ts';
import type { Timeline } from '../core/timeline/timeline.ts';
import { Refusal } from '../trouble/refusal.ts';
import { type ImageBoard, isImageFile, readImageFile } from './image-file.ts';
import { openSongFile } from './open-song.ts';

export interface LoadedSong {
  readonly path: string;
  readonly song: Song;
  readonly timeline: Timeline;
  /** A prepared song: order and moments are decided, and it is played as it stands. */
  readonly isDecided?: boolean;
  /** What was done to it since it was read, in words. */
  readonly changed?: string;
  /** Channels (0–15) that the song was written for and on which nothing is left since, and why in a few words. */
  readonly emptied?: ReadonlyMap<number, string>;
  /** What it wished for, where its programs are an instrument's own since. */
  readonly wishes?: SongWishes;
}

/**
 * File → song → timeline; a prepared song (docs/prepare.md) goes the same way. Refuses, with the file's name, what
 * cannot be played. @param board what a prepared song must have been made for, where one is named
 * @param songPort of a song of several ports (meta 21) only the tracks that ask for this one
 */
export function loadSong(path: string, board?: ImageBoard, songPort?: number): LoadedSong {
  const whole = wholeSong(path, board);
  return songPort === undefined ? whole : tracksOfPort(whole, songPort);
}

function wholeSong(path: string, board?: ImageBoard): LoadedSong {
  const { bytes } = openSongFile(path);
  if (isImageFile(path, bytes)) {
    const { played, about } = readImageFile(path, bytes, board);
    const song = readSong(songOfImage(played, about));
    return { path, song, timeline: buildTimeline(song), isDecided: true };
  }
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

function tracksOfPort(whole: LoadedSong, port: number): LoadedSong {
  const { trackPorts } = whole.timeline;
  const song = songOfPort(whole.song, trackPorts, port);
  if (song !== undefined) {
    return { ...whole, song, timeline: buildTimeline(song), changed: `only the tracks for port ${port}` };
  }
  const there = portsThatSend(whole.song, trackPorts).join(', ');
  throw new Refusal(
    `no track that asks for port ${port} sends anything`,
    whole.path,
    there === '' ? 'leave --song-port out' : `give --song-port one of ${there}, or leave it out`,
  );
}

/** A sentence as a part of a line: without its capital and its full stop. */
function clauseOf(sentence: string): string {
  return sentence.charAt(0).toLowerCase() + sentence.slice(1).replace(/\.$/, '');
}
