import { quantile, robustLine } from '../compare/robust-line.ts';
import type { LineStretch } from './line-rate.ts';
import type { LoopHearing, LoopSending } from './loop-hearing.ts';
import { type LoopPattern, plannedMicros } from './loop-pattern.ts';

/** From handing over a message on an idle line to its last byte being there. Null: nobody here knows when it was sent. */
export interface LoopLatency {
  readonly count: number;
  readonly minMicros: number | null;
  readonly p50Micros: number | null;
  readonly p95Micros: number | null;
  readonly maxMicros: number | null;
  /** From the 5th to the 95th of a hundred. */
  readonly spreadMicros: number;
  /** What of it is the message's own time on the wire. */
  readonly wireMicros: number;
}

/** How long bytes of a burst wait between being handed over and being there. */
export interface LoopQueue {
  readonly longestMicros: number;
  /** Beyond what a wire of that rate needs for what is before them, and the latency at rest. */
  readonly beyondP50Micros: number;
  readonly beyondP95Micros: number;
  readonly beyondMaxMicros: number;
}

/** When each byte sent was there: known at the end of each delivery, NaN elsewhere and where it is lost. */
export function arrivals(heardOf: Int32Array, hearing: LoopHearing): Float64Array {
  const ends = new Float64Array(hearing.bytes.length).fill(Number.NaN);
  for (let chunk = 0; chunk < hearing.chunkEnd.length; chunk += 1) {
    const end = hearing.chunkEnd[chunk]!;
    if (end > 0 && end <= ends.length) ends[end - 1] = hearing.chunkMicros[chunk]!;
  }
  return Float64Array.from(heardOf, (at) => (at < 0 ? Number.NaN : ends[at]!));
}

/** @param byteMicros of the wire as it should be */
export function latencyOf(
  pattern: LoopPattern,
  arrived: Float64Array,
  sending: LoopSending | undefined,
  byteMicros: number,
): LoopLatency | undefined {
  const { steps, start } = pattern;
  const sent = sending?.handedMicros ?? plannedMicros(pattern, byteMicros);
  const x: number[] = [];
  const y: number[] = [];
  let bytes = 0;
  for (let step = 0; step < steps.length; step += 1) {
    const there = arrived[start[step + 1]! - 1]!;
    if (steps[step]!.section !== 'alone' || !(there >= 0) || Number.isNaN(sent[step]!)) continue;
    x.push(sent[step]!);
    y.push(there);
    bytes = steps[step]!.bytes.length;
  }
  if (x.length === 0) return undefined;
  const wireMicros = bytes * byteMicros;
  // Two machines have two clocks: only how far it strays from a line between them can be told.
  const line = sending === undefined ? robustLine(x, y) : { start: 0, rate: 1 };
  const delays = Float64Array.from(x, (at, n) => y[n]! - line.start - line.rate * at);
  const at = (share: number) => quantile(delays.slice(), share);
  const known = (value: number) => (sending === undefined ? null : value);
  return {
    count: x.length,
    minMicros: known(at(0)),
    p50Micros: known(at(0.5)),
    p95Micros: known(at(0.95)),
    maxMicros: known(at(1)),
    spreadMicros: at(0.95) - at(0.05),
    wireMicros,
  };
}

/** Stretches in which the wire was full, without a loss, an addition or a stall of the sender. */
export function fullStretches(
  pattern: LoopPattern,
  heardOf: Int32Array,
  arrived: Float64Array,
  sending: LoopSending | undefined,
  byteMicros: number,
): LineStretch[] {
  const { steps, stepOf, start } = pattern;
  const stretches: { places: number[]; micros: number[] }[] = [];
  let isOpen = false;
  let free = 0;
  for (let place = 0; place < heardOf.length; place += 1) {
    const step = stepOf[place]!;
    if (place === start[step]) {
      const handed = sending?.handedMicros[step] ?? Number.NaN;
      if (steps[step]!.restMicros > 0 || handed > free) isOpen = false;
      free = Math.max(free, Number.isNaN(handed) ? free : handed) + steps[step]!.bytes.length * byteMicros;
    }
    const isNext = place === 0 || heardOf[place] === heardOf[place - 1]! + 1;
    if (heardOf[place]! < 0 || !isNext) isOpen = false;
    if (steps[step]!.section === 'alone' || !(arrived[place]! >= 0)) continue;
    if (!isOpen) stretches.push({ places: [], micros: [] });
    isOpen = true;
    stretches.at(-1)!.places.push(place);
    stretches.at(-1)!.micros.push(arrived[place]!);
  }
  return stretches;
}

/** @param byteMicros of the wire as it is, where that is known */
export function queueOf(
  pattern: LoopPattern,
  arrived: Float64Array,
  sending: LoopSending,
  latency: LoopLatency | undefined,
  byteMicros: number,
): LoopQueue | undefined {
  const { steps, start } = pattern;
  // An idle line needs this beside the message's own time.
  const rest = (latency?.p50Micros ?? 0) - (latency?.wireMicros ?? 0);
  const beyond: number[] = [];
  let longest = 0;
  let free = 0;
  for (let step = 0; step < steps.length; step += 1) {
    const handed = sending.handedMicros[step]!;
    if (Number.isNaN(handed)) break;
    free = Math.max(free, handed) + steps[step]!.bytes.length * byteMicros;
    const there = arrived[start[step + 1]! - 1]!;
    if (!(there >= 0)) continue;
    longest = Math.max(longest, there - handed);
    if (steps[step]!.section !== 'alone') beyond.push(Math.max(0, there - free - rest));
  }
  if (beyond.length === 0) return undefined;
  const at = (share: number) => quantile(Float64Array.from(beyond), share);
  return {
    longestMicros: longest,
    beyondP50Micros: at(0.5),
    beyondP95Micros: at(0.95),
    beyondMaxMicros: at(1),
  };
}
