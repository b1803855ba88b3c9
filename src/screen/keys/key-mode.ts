import type { ActionName } from '../actions/actions.ts';
import type { KeyRole } from '../state/key-role.ts';
import type { SongView } from '../state/song-view.ts';
import { isAllowed, ROLE_WORDS } from './key-roles.ts';

/** What there is for keys to work on. */
export interface KeyMode {
  /** A song plays; without one an input is listened to. */
  readonly song: boolean;
  /** Its time is ours to say: not so while another machine's clock is followed. */
  readonly time: boolean;
  /** There are songs to choose from: not in a set, which has its own order. */
  readonly list: boolean;
  /** The song has its turn in a set. */
  readonly set: boolean;
  /** What is sent from here reaches an instrument; not so while an input is only listened to. */
  readonly output: boolean;
  /** It plays in another process, which goes on when this screen is left. */
  readonly watched?: true;
  /** Who sits at the keys; undefined: whoever plays. */
  readonly role?: KeyRole;
}

export type KeyNeed = Exclude<keyof KeyMode, 'role' | 'watched'>;

export const PLAYING: KeyMode = { song: true, time: true, list: true, set: false, output: true };

export const LISTENING: KeyMode = { song: false, time: false, list: false, set: false, output: false };

type ModeView = Pick<SongView, 'timeline' | 'isOnlyHeard' | 'isWatched' | 'keyRole' | 'turn' | 'follows'>;

/** Asked in every frame, and the same for as long as the song is on. */
const MODES = new WeakMap<ModeView, KeyMode>();

export function keyModeOf(view: ModeView): KeyMode {
  const known = MODES.get(view) ?? modeOf(view);
  MODES.set(view, known);
  return known;
}

function modeOf({ timeline, isOnlyHeard, isWatched, keyRole, turn, follows }: ModeView): KeyMode {
  const song = timeline !== undefined;
  const set = turn !== undefined;
  const mode: KeyMode = {
    song,
    time: song && follows === undefined,
    set,
    list: song && !set,
    output: isOnlyHeard !== true,
    ...(isWatched === true ? { watched: true } : {}),
  };
  return keyRole === undefined ? mode : { ...mode, role: keyRole };
}

/** What a row of the key table says of when it counts. */
interface KeyUse {
  readonly action: ActionName;
  readonly needs?: KeyNeed;
}

/** Whether a key has a meaning in the mode. */
export function worksIn(use: KeyUse, mode: KeyMode): boolean {
  return whyNot(use, mode) === undefined;
}

/** Why a key has no meaning in the mode, to be said when it is pressed. */
export function whyNot({ action, needs }: KeyUse, mode: KeyMode): string | undefined {
  if (needs !== undefined && !mode[needs]) return NEED_WORDS[needs === 'time' && !mode.song ? 'song' : needs];
  return isAllowed(action, mode.role) ? undefined : ROLE_WORDS[mode.role!];
}

/** Said when a key that needs it is pressed without it. */
export const NEED_WORDS: Readonly<Record<KeyNeed, string>> = {
  list: 'here is no list of songs: N is the next one, P the one before',
  time: 'the clock that is followed says where and how fast: space pauses, z silences',
  set: 'that key keeps settings for a song of a set: `wirepit show` plays one',
  song: 'that key needs a song, and here an input is listened to',
  output: 'nothing is passed on, so nothing can be held back: --thru names a port',
};
