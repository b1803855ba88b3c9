import { isOpen, minutesUntilOpen, type ShowSet } from './show-set.ts';
import { songOrder } from './song-order.ts';

/** Where a show is: everything that is needed to go on after a power cut. */
export interface Place {
  /** How often the whole set has been gone through, from 0. */
  readonly round: number;
  /** Place in the round's order, from 0. */
  readonly turn: number;
  /** How often this turn's song has been played already. */
  readonly played: number;
}

export const FIRST_PLACE: Place = { round: 0, turn: 0, played: 0 };

/** What comes next. */
export type Turn =
  | {
      readonly kind: 'song';
      readonly song: number;
      readonly place: Place;
      /** Songs that were passed over to get there because they cannot be played, each once. */
      readonly skipped: readonly number[];
    }
  /** Every song that is left waits for its time of day. */
  | { readonly kind: 'closed'; readonly minutes: number; readonly skipped: readonly number[] }
  /** The set has been gone through, and is not to begin again. */
  | { readonly kind: 'done'; readonly skipped: readonly number[] }
  /** No song of the set can be played. */
  | { readonly kind: 'nothing'; readonly skipped: readonly number[] };

/**
 * The turn at a place, or the first after it whose song can be played at this minute of the day. A song whose section
 * is closed is passed over without a word; its turn comes again in the next round.
 * @param canPlay whether a song can be played at all
 */
export function turnAt(set: ShowSet, from: Place, minute: number, canPlay: (song: number) => boolean): Turn {
  const skipped = new Set<number>();
  let wait = Number.POSITIVE_INFINITY;
  let place = settled(set, from);
  // From any place every song comes by within two rounds.
  for (let looked = 0; looked < 2 * set.songs.length && place !== undefined; looked += 1) {
    const song: number = songOrder(set, place.round)[place.turn]!;
    const section = set.songs[song]!.section;
    if (!canPlay(song)) skipped.add(song);
    else if (section === undefined || isOpen(set.sections[section]!, minute)) {
      return { kind: 'song', song, place, skipped: [...skipped] };
    } else wait = Math.min(wait, minutesUntilOpen(set.sections[section]!, minute));
    place = nextTurn(set, place);
  }
  const told = { skipped: [...skipped] };
  if (wait < Number.POSITIVE_INFINITY) return { kind: 'closed', minutes: wait, ...told };
  return place === undefined && skipped.size < set.songs.length
    ? { kind: 'done', ...told }
    : { kind: 'nothing', ...told };
}

/** The place after a song was played to its end: the same turn once more where it is to be repeated. */
export function placeAfter(set: ShowSet, place: Place): Place {
  const song = songOrder(set, place.round)[place.turn];
  const played = place.played + 1;
  if (song !== undefined && played < set.songs[song]!.repeats) return { ...place, played };
  return { round: place.round, turn: place.turn + 1, played: 0 };
}

/** By hand to the next or the one before, whatever repeats are left; before the first stays the first. */
export function placeBeside(set: ShowSet, place: Place, step: 1 | -1): Place {
  if (step === 1) return { round: place.round, turn: place.turn + 1, played: 0 };
  if (place.turn > 0) return { round: place.round, turn: place.turn - 1, played: 0 };
  if (place.round > 0 && set.loops) return { round: place.round - 1, turn: set.songs.length - 1, played: 0 };
  return { ...place, played: 0 };
}

function nextTurn(set: ShowSet, { round, turn }: Place): Place | undefined {
  return settled(set, { round, turn: turn + 1, played: 0 });
}

/** A place past the round's end is the next round's first; undefined where there is none. */
function settled(set: ShowSet, place: Place): Place | undefined {
  if (place.turn < set.songs.length) return place;
  return set.loops ? { round: place.round + 1, turn: 0, played: 0 } : undefined;
}
