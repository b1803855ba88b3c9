import type { SongView } from '../state/song-view.ts';

/** What there is for keys to work on. */
export interface KeyMode {
  /** A song plays; without one an input is listened to. */
  readonly song: boolean;
  /** What is sent from here reaches an instrument; not so while an input is only listened to. */
  readonly output: boolean;
}

export type KeyNeed = keyof KeyMode;

export const PLAYING: KeyMode = { song: true, output: true };

export function keyModeOf(song: Pick<SongView, 'timeline' | 'isOnlyHeard'>): KeyMode {
  return { song: song.timeline !== undefined, output: song.isOnlyHeard !== true };
}

/** Whether what needs this, or nothing, has a meaning in the mode. */
export function worksIn({ needs }: { readonly needs?: KeyNeed }, mode: KeyMode): boolean {
  return needs === undefined || mode[needs];
}

/** Said when a key that needs it is pressed without it. */
export const NEED_WORDS: Readonly<Record<KeyNeed, string>> = {
  song: 'that key needs a song, and here an input is listened to',
  output: 'nothing is passed on, so nothing can be held back: --thru names a port',
};
