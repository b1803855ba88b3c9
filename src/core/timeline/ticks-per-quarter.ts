import type { Division } from '../smf/song.ts';

/** A tempo's worth where the song says nothing: 120 quarters a minute (SMF 1.1, section 2.2). */
export const DEFAULT_MICROS_PER_QUARTER = 500_000;

const FRAMES_IN_HALF_SECOND = { 24: 12, 25: 12.5, 29: 15, 30: 15 } as const;

/**
 * Ticks of a quarter note. Ticks of SMPTE frames know no quarter notes; bars, beats and MIDI clock then count
 * in half seconds of whole frames, the 120 quarters a minute that hold where a song says nothing. (Half a
 * second is 12.5 frames at 25 a second, so the result may end in .5.)
 */
export function ticksPerQuarterOf(division: Division): number {
  if (division.kind === 'quarter') return Math.max(1, division.ticksPerQuarter);
  return FRAMES_IN_HALF_SECOND[division.framesPerSecond] * Math.max(1, division.ticksPerFrame);
}
