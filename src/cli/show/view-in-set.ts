import type { ScreenOutcome } from '../../screen/state/screen-state.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import { type Leave, numberWords, type SongTurn } from './show-stage.ts';
import type { ShowFlags } from './song-flags.ts';

/** A song as whoever sits at the keys of a show has it: its turn in the set, and what the keys may do. */
export function viewInSet(
  view: SongView,
  songTurn: Pick<SongTurn, 'set' | 'song' | 'next'>,
  { unattended }: Pick<ShowFlags, 'unattended'>,
): SongView {
  const { set, song, next } = songTurn;
  const turn = { words: `${set.name}, ${numberWords(songTurn)}`, next };
  const place = { number: song + 1, of: set.songs.length, before: BEFORE, after: AFTER };
  return { ...view, place, turn, ...(unattended ? { keyRole: 'visitor' as const } : {}) };
}

/** How a song is left by what a key asked for. */
export function leaveOf(outcome: ScreenOutcome): Leave {
  if (outcome.kind !== 'song') return outcome.kind;
  return outcome.path === BEFORE ? 'previous' : 'next';
}

/** For the screen a song beside this one is a path; which one it is, the show knows. */
const BEFORE = 'the song before';
const AFTER = 'the song after';
