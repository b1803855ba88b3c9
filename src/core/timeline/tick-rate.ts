import type { Division } from '../smf/song.ts';

/** A tick lasts `micros / per` microseconds: whole numbers, so that nothing is rounded before its time. */
export interface TickRate {
  readonly micros: number;
  readonly per: number;
}

/** Numerators of 1,000,000 / frames a second; 29 is 30000/1001 frames a second (SMF 1.1, section 2.1). */
const FRAME_MICROS = {
  24: { micros: 1_000_000, per: 24 },
  25: { micros: 1_000_000, per: 25 },
  29: { micros: 100_100, per: 3 },
  30: { micros: 1_000_000, per: 30 },
} as const;

/** How long a tick is. With SMPTE division the tempo has no effect (SMF 1.1, section 2.1). */
export function tickRateOf(division: Division, microsPerQuarter: number): TickRate {
  if (division.kind === 'quarter') {
    return { micros: microsPerQuarter, per: Math.max(1, division.ticksPerQuarter) };
  }
  const frame = FRAME_MICROS[division.framesPerSecond];
  return { micros: frame.micros, per: frame.per * Math.max(1, division.ticksPerFrame) };
}
