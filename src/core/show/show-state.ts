import type { Place } from './turns.ts';

/** What is kept on disk, so that a power cut is a pause. */
export interface ShowState {
  readonly schema: 'wirepit-show-state/1';
  /** The set's file; a state of another set is not gone on with. */
  readonly set: string;
  readonly place: Place;
  /** The song's path, so that a set that was changed meanwhile does not go on in the middle of another song. */
  readonly song: string;
  /** Song time that was reached, in microseconds. */
  readonly positionMicros: number;
}

export function encodeShowState(state: ShowState): string {
  return `${JSON.stringify(state)}\n`;
}

/** @returns undefined for anything that is not a whole state: a show then begins at its beginning */
export function decodeShowState(text: string): ShowState | undefined {
  let read: unknown;
  try {
    read = JSON.parse(text);
  } catch {
    return undefined;
  }
  const state = read as Partial<ShowState> | null;
  const place = state?.place;
  const isWhole =
    state?.schema === 'wirepit-show-state/1' &&
    typeof state.set === 'string' &&
    typeof state.song === 'string' &&
    isCount(state.positionMicros, Number.MAX_SAFE_INTEGER) &&
    isCount(place?.round, MOST_ROUNDS) &&
    isCount(place?.turn, MOST_ROUNDS) &&
    isCount(place?.played, MOST_ROUNDS);
  return isWhole ? (state as ShowState) : undefined;
}

/** A set of one song of a second would take thirty years. */
const MOST_ROUNDS = 1_000_000_000;

function isCount(value: unknown, most: number): boolean {
  return typeof value === 'number' && Number.isInteger(value) && value >= 0 && value <= most;
}
