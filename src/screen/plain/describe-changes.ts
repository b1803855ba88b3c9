import type { ObservedState } from '../../core/observe/observed-state.ts';
import { STUCK_LIMITS, type StuckLimits } from '../../core/observe/stuck-notes.ts';
import { cleanText } from '../format/text-cleaning.ts';
import type { SongView } from '../state/song-view.ts';
import { changesBetween } from './changes-between.ts';
import { type PlainSnapshot, plainSnapshot } from './plain-snapshot.ts';

/** Tells in words, for a screen reader or a log, what happened since it was asked last. */
export interface ChangeTeller {
  /** @param isAnswered a key was answered just now: what keys do to the music is left out */
  since(observed: ObservedState, nowMicros: number, isAnswered?: boolean): string[];
}

/** The first answer names the song; those after it what has changed. */
export function describeChanges(song: SongView, limits: StuckLimits = STUCK_LIMITS): ChangeTeller {
  let last: PlainSnapshot | undefined;
  return {
    since(observed, nowMicros, isAnswered = false) {
      const next = plainSnapshot(observed, song, nowMicros, limits);
      const lines = last
        ? changesBetween(last, next, isAnswered)
        : [`${cleanText(song.title || song.fileName)}, ${next.clock || next.state}`];
      last = next;
      return lines;
    },
  };
}
