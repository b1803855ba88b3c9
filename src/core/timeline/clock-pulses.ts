import { sharedF64 } from './shared-columns.ts';
import type { Timeline } from './timeline.ts';

/** MIDI clock: 24 pulses a quarter note (MIDI 1.0, p. 30). */
export const PULSES_PER_QUARTER = 24;

/** 57 hours at 120 quarters a minute, 40 MB. Beyond it the clock is silent. */
const MOST_PULSES = 5_000_000;

/** Song time (µs) of each MIDI clock pulse from tick 0 up to and with the song's end, in shared memory. */
export function clockMicrosOf({ tempoMap, ticksPerQuarter, endTick }: Timeline): Float64Array {
  const pulses = Math.min(Math.floor((endTick * PULSES_PER_QUARTER) / ticksPerQuarter) + 1, MOST_PULSES);
  const micros = sharedF64(pulses);
  // A quarter may end on half a tick (ticks-per-quarter.ts), so pulses are counted in 48ths.
  const halfTicks = 2 * ticksPerQuarter;
  for (let pulse = 0; pulse < pulses; pulse += 1) {
    micros[pulse] = tempoMap.microsAtFraction(pulse * halfTicks, 2 * PULSES_PER_QUARTER);
  }
  return micros;
}
