import type { ComparisonDocument } from './comparison-document.ts';
import type { LiveSign } from './live-signs.ts';

/** How a recording stands while it is still being made. */
export interface LiveView {
  /** `waiting`: no note yet, or too few to tell; `other`: this is not the song. */
  readonly state: 'waiting' | 'following' | 'other';
  /** Song time (µs) that was heard last; −1 while not known. */
  readonly songMicros: number;
  /** The song as far as it was heard, judged as a recording of that part would be; undefined while nothing can be told. */
  readonly soFar: ComparisonDocument | undefined;
  /** What is heard to be wrong of the latest part. */
  readonly signs: readonly LiveSign[];
}

/** Nothing is said against the player. */
export function saysNothing({ soFar, signs }: LiveView): boolean {
  if (signs.length > 0) return false;
  if (soFar === undefined) return true;
  return [soFar.differences, soFar.state, soFar.causes, soFar.sysEx.differences].every(
    (some) => some.length === 0,
  );
}

export const WAITING: LiveView = { state: 'waiting', songMicros: -1, soFar: undefined, signs: [] };
export const OTHER: LiveView = { ...WAITING, state: 'other' };
