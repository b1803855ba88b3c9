import type { TimelineColumns } from '../../timeline/timeline.ts';
import { rowBytes } from '../../wire/message-length.ts';
import { GAP_MICROS } from '../heard-fold.ts';
import { MICROS_PER_BYTE } from '../heard-stream.ts';
import { quantile } from '../robust-line.ts';
import { heldUp } from '../standstills.ts';
import type { Evidence } from './evidence.ts';

/** Coherence is judged stretch by stretch, so that a tick need not be known to a millionth. */
const STRETCH_MICROS = 5_000_000;
const MOST_POINTS = 1500;
/** Mean resultant length (0–1) of the notes' phases, and the most that the song's own grid may have. */
const COHERENT = 0.75;
const OWN_GRID = 0.6;
const SHORTEST_MICROS = 3000;
const LONGEST_MICROS = 150_000;

/**
 * Moments that fall on a grid which is not the song's. What rounding to a tick leaves is spread evenly over one tick,
 * which says how long it must be; the phases say whether it is.
 */
export function timerTick({ clock, timeline, heard, grainMicros }: Evidence): string | undefined {
  const { x, y } = clock.points;
  if (x.length < 24 || clock.lostPerMessageMicros > 0) return undefined;
  const { line } = clock;
  const off = y.map((at, n) => at - line.rate * x[n]!);
  const width = quantile(off.slice(), 0.95) - quantile(off.slice(), 0.05);
  if (width < Math.max(SHORTEST_MICROS, 4 * grainMicros)) return undefined;
  // Bursts and not notes: in a chord that takes its time only what comes first stands on the grid.
  const from = y[0]!;
  const isHeldUp = heldUp({ count: heard.bursts.length, micros: heard.bursts }, heard.standstills);
  const at = thinned(heard.bursts.filter((micros, n) => micros >= from && isHeldUp[n] === 0));
  if (at.length < 24) return undefined;
  const best = bestTick(at, Math.max(SHORTEST_MICROS, 0.3 * width), Math.min(LONGEST_MICROS, 2 * width));
  if (best.coherence < COHERENT) return undefined;
  const own = coherence(
    thinned(burstsOf(timeline.columns).map((micros) => line.start + line.rate * micros)),
    best.micros,
  );
  if (own > Math.min(OWN_GRID, best.coherence - 0.2)) return undefined;
  return `what is sent begins on a grid of ${(best.micros / 1000).toFixed(1)} ms (${Math.round(best.coherence * 100)} % in step) that the song does not have`;
}

/** Song times at which bursts begin where nothing but the wire is in the way: like is held against like. */
function burstsOf(columns: TimelineColumns): Float64Array {
  const { micros, count } = columns;
  const bursts = new Float64Array(count);
  let found = 0;
  let free = Number.NEGATIVE_INFINITY;
  for (let row = 0; row < count; row += 1) {
    if (micros[row]! - free > GAP_MICROS) {
      bursts[found] = micros[row]!;
      found += 1;
    }
    free = Math.max(free, micros[row]!) + rowBytes(columns, row) * MICROS_PER_BYTE;
  }
  return bursts.subarray(0, found);
}

function thinned(values: Float64Array): Float64Array {
  const step = Math.ceil(values.length / MOST_POINTS);
  // Whole stretches are kept, so that neighbours stay neighbours.
  return values.filter((_, n) => Math.floor(n / 50) % step === 0);
}

/** The longest tick that is nearly as good as the best: half a tick fits as well as the tick itself. */
function bestTick(at: Float64Array, from: number, to: number): { micros: number; coherence: number } {
  const tried: { micros: number; coherence: number }[] = [];
  for (let micros = from; micros < to; micros += Math.max(0.5, (micros * micros) / (6 * STRETCH_MICROS))) {
    tried.push({ micros, coherence: coherence(at, micros) });
  }
  const best = Math.max(0, ...tried.map((one) => one.coherence));
  return tried.findLast((one) => one.coherence > 0.97 * best) ?? { micros: 0, coherence: 0 };
}

/** Mean resultant length of the phases within each stretch, weighted by its notes (Rayleigh). */
function coherence(at: Float64Array, micros: number): number {
  let sum = 0;
  let from = 0;
  while (from < at.length) {
    let cos = 0;
    let sin = 0;
    let to = from;
    for (; to < at.length && at[to]! - at[from]! < STRETCH_MICROS; to += 1) {
      const phase = (2 * Math.PI * at[to]!) / micros;
      cos += Math.cos(phase);
      sin += Math.sin(phase);
    }
    const count = to - from;
    // A few notes agree by chance: what chance gives is taken off.
    const length = Math.hypot(cos, sin) / count;
    sum += count > 2 ? count * Math.sqrt(Math.max(0, (count * length * length - 1) / (count - 1))) : 0;
    from = to;
  }
  return sum / at.length;
}
