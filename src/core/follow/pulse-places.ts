import { PULSES_PER_QUARTER } from '../timeline/clock-pulses.ts';

/** Song time (µs) of a pulse; beyond the table's end the last tempo goes on, before its beginning it is 0. */
export function songAtPulse(pulseMicros: Float64Array, pulse: number): number {
  const last = pulseMicros.length - 1;
  if (pulse <= last) return pulseMicros[Math.max(0, pulse)] ?? 0;
  const step = last > 0 ? pulseMicros[last]! - pulseMicros[last - 1]! : 500_000 / PULSES_PER_QUARTER;
  return (pulseMicros[last] ?? 0) + (pulse - last) * step;
}

/** The pulse of the table nearest to a song time (µs). */
export function nearestPulse(pulseMicros: Float64Array, songMicros: number): number {
  let low = 0;
  let high = pulseMicros.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (pulseMicros[middle]! < songMicros) low = middle + 1;
    else high = middle;
  }
  const isBefore = low > 0 && songMicros - pulseMicros[low - 1]! < pulseMicros[low]! - songMicros;
  return Math.max(0, isBefore ? low - 1 : low);
}
