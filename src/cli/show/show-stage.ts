import type { ShowSet } from '../../core/show/show-set.ts';
import type { Place } from '../../core/show/turns.ts';
import type { SongSettings } from '../../show/set-schema.ts';
import type { PreparedPlay } from '../play/prepare-play.ts';

/** A song that is on, or next, in a set. */
export interface SongTurn {
  readonly set: ShowSet;
  readonly song: number;
  readonly place: Place;
  /** Title or file name of the song that would come next; undefined where none will. */
  readonly next: string | undefined;
  readonly prepared: PreparedPlay;
  /** Something that befell the song, in words, for the journal. */
  readonly befell: (words: string) => void;
  /** Keeps settings for this song from now on; says what became of it. */
  keep(settings: SongSettings): string;
}

/** Which song of the set it is, in words. */
export function numberWords({ set, song }: Pick<SongTurn, 'set' | 'song'>): string {
  return `song ${song + 1} of ${set.songs.length}`;
}

/** How a song, or a wait, was left. */
export type Leave = 'ended' | 'next' | 'previous' | 'quit';

/** Where a show is shown: a terminal, or a log. */
export interface ShowStage {
  /** Plays a song to its end; tells the position (song µs) now and then. */
  play(turn: SongTurn, onPosition: (songMicros: number) => void): Promise<Leave>;
  /** Between two songs. `forKey`: until somebody presses a key, and not by time. */
  wait(what: { readonly words: string; readonly seconds: number; readonly forKey: boolean }): Promise<Leave>;
  /** Something a person ought to know. */
  tell(words: string): void;
}

/** One that has taken something, a terminal say. */
export interface OpenStage extends ShowStage {
  /** Ends what runs, and gives back what was taken. */
  close(): Promise<void>;
}
