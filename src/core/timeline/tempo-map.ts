import type { Division } from '../smf/song.ts';
import { lastNotAfter } from './last-not-after.ts';
import { tickRateOf } from './tick-rate.ts';
import { DEFAULT_MICROS_PER_QUARTER, ticksPerQuarterOf } from './ticks-per-quarter.ts';

/** Ticks ↔ microseconds, exactly. Made by `tempoMapOf`; every stretch is computed from its own start. */
export interface TempoMap {
  /** Stretches of constant tempo in tick order; the first begins at tick 0. */
  readonly stretches: readonly TempoStretch[];
  /** Song time of a tick in whole microseconds (rounded half up once, never accumulated). */
  microsAt(tick: number): number;
  /** Song time of the moment `numerator / denominator` ticks, both whole, rounded in the same way. */
  microsAtFraction(numerator: number, denominator: number): number;
  /** Tick (fractional) at a song time. */
  tickAt(micros: number): number;
  /** The stretch in force at a song time. */
  stretchAt(micros: number): TempoStretch;
  /** Writes the song times of `ticks` `from` … `to` − 1, which never decrease, to `micros`. */
  fillMicros(ticks: Uint32Array, micros: Float64Array, from: number, to: number): void;
}

export interface TempoStretch {
  readonly tick: number;
  readonly micros: number;
  /**
   * Microseconds a quarter note, as written in the song (500,000 where it says nothing). With SMPTE division
   * the time of what `ticksPerQuarterOf` calls a quarter: 500,000, or 500,500 at 29.97 frames a second.
   */
  readonly microsPerQuarter: number;
}

/** A tempo as it stands in a song. */
export interface TempoChange {
  readonly tick: number;
  /** 1 to 2²⁴−1. */
  readonly microsPerQuarter: number;
}

/**
 * A stretch with its exact start: `whole + rest / per` microseconds, 0 ≤ rest < per. All stretches of a song
 * share `per` (the division), so a start is carried over to the next stretch without rounding.
 */
interface ExactStretch extends TempoStretch {
  readonly whole: number;
  readonly rest: number;
  readonly tickMicros: number;
  /** Up to so many ticks on, `exactMicros` stays within 2⁵³ and plain numbers are exact. */
  readonly safeTicks: number;
}

/** Half of 2⁵³, since `roundedMicros` doubles its numerator; less again for what is added to it. */
const SAFE_NUMERATOR = 2 ** 51;

/**
 * The tempo map of a song.
 * @param changes in tick order; of several at one tick the last counts; with SMPTE division none does
 */
export function tempoMapOf(division: Division, changes: Iterable<TempoChange>): TempoMap {
  const { per } = tickRateOf(division, DEFAULT_MICROS_PER_QUARTER);
  const stretches = division.kind === 'quarter' ? stretchesOf(changes, per) : [smpteStretch(division, per)];
  return mapOver(stretches, per);
}

function smpteStretch(division: Division, per: number): ExactStretch {
  const { micros } = tickRateOf(division, DEFAULT_MICROS_PER_QUARTER);
  const microsPerQuarter = (ticksPerQuarterOf(division) * micros) / per;
  return { ...firstStretch(micros), microsPerQuarter };
}

function firstStretch(tickMicros: number): ExactStretch {
  const safeTicks = Math.floor(SAFE_NUMERATOR / tickMicros);
  return { tick: 0, micros: 0, microsPerQuarter: tickMicros, whole: 0, rest: 0, tickMicros, safeTicks };
}

function stretchesOf(changes: Iterable<TempoChange>, per: number): ExactStretch[] {
  const stretches: ExactStretch[] = [];
  let last = firstStretch(DEFAULT_MICROS_PER_QUARTER);
  for (const { tick, microsPerQuarter } of changes) {
    if (microsPerQuarter === last.tickMicros) continue;
    if (tick > last.tick) stretches.push(last);
    last = nextStretch(last, tick, microsPerQuarter, per);
  }
  stretches.push(last);
  return stretches;
}

function nextStretch(from: ExactStretch, tick: number, tickMicros: number, per: number): ExactStretch {
  const ticks = tick - from.tick;
  const [passed, rest] =
    ticks <= from.safeTicks
      ? quotient(from.rest + ticks * from.tickMicros, per)
      : bigQuotient(BigInt(from.rest) + BigInt(ticks) * BigInt(from.tickMicros), BigInt(per));
  const whole = from.whole + passed;
  const micros = rest * 2 >= per ? whole + 1 : whole;
  return { ...firstStretch(tickMicros), tick, micros, whole, rest };
}

function quotient(numerator: number, divisor: number): readonly [whole: number, rest: number] {
  return [Math.floor(numerator / divisor), numerator % divisor];
}

function bigQuotient(numerator: bigint, divisor: bigint): readonly [whole: number, rest: number] {
  return [Number(numerator / divisor), Number(numerator % divisor)];
}

function mapOver(stretches: readonly ExactStretch[], per: number): TempoMap {
  const stretchAtTick = (tick: number) => stretches[lastNotAfter(stretches, 'tick', tick)]!;
  const stretchAt = (micros: number) => stretches[lastNotAfter(stretches, 'micros', micros)]!;
  return {
    stretches,
    stretchAt,
    microsAt: (tick) => roundedMicros(stretchAtTick(tick), tick, 1, per),
    microsAtFraction: (numerator, denominator) =>
      roundedMicros(stretchAtTick(numerator / denominator), numerator, denominator, per),
    tickAt(micros) {
      const { tick, whole, rest, tickMicros } = stretchAt(micros);
      return Math.max(tick, tick + ((micros - whole) * per - rest) / tickMicros);
    },
    fillMicros: (ticks, micros, from, to) => fillMicros(stretches, per, ticks, micros, from, to),
  };
}

function fillMicros(
  stretches: readonly ExactStretch[],
  per: number,
  ticks: Uint32Array,
  micros: Float64Array,
  from: number,
  to: number,
): void {
  let row = from;
  for (let index = lastNotAfter(stretches, 'tick', ticks[from] ?? 0); row < to; index += 1) {
    const stretch = stretches[index]!;
    const next = stretches[index + 1]?.tick ?? Number.POSITIVE_INFINITY;
    const end = Math.min(next, stretch.tick + stretch.safeTicks);
    row = fillStretch(doublesOf(stretch, per, end), ticks, micros, row, to);
    // Past what doubles hold exactly: days in one tempo.
    for (; row < to && ticks[row]! < next; row += 1) {
      micros[row] = roundedMicros(stretch, ticks[row]!, 1, per);
    }
  }
}

/**
 * From a typed array every number comes as a double, and the loop is compiled once, not again and again as numbers outgrow
 * 31 bits.
 */
function doublesOf({ tick, whole, rest, tickMicros }: ExactStretch, per: number, end: number): Float64Array {
  const doubles = new Float64Array(6);
  doubles[0] = tick;
  doubles[1] = whole;
  doubles[2] = rest;
  doubles[3] = tickMicros;
  doubles[4] = per;
  doubles[5] = end;
  return doubles;
}

/** Rows `from` … `to` − 1, as long as their tick is before the end of the stretch. @returns the first row that is not */
function fillStretch(
  doubles: Float64Array,
  ticks: Uint32Array,
  micros: Float64Array,
  from: number,
  to: number,
): number {
  const start = doubles[0]!;
  const whole = doubles[1]!;
  const rest = doubles[2]!;
  const tickMicros = doubles[3]!;
  const per = doubles[4]!;
  const end = doubles[5]!;
  let row = from;
  for (; row < to; row += 1) {
    const tick = ticks[row]!;
    if (tick >= end) break;
    micros[row] = whole + Math.floor((2 * (rest + (tick - start) * tickMicros) + per) / (2 * per));
  }
  return row;
}

/** whole + ⌊(rest + ticks · tickMicros) / per + ½⌋ for ticks = numerator / denominator − stretch.tick. */
function roundedMicros(stretch: ExactStretch, numerator: number, denominator: number, per: number): number {
  const { tick, whole, rest, tickMicros, safeTicks } = stretch;
  const ticks = numerator - tick * denominator;
  const scaledPer = per * denominator;
  if (ticks <= safeTicks) {
    return whole + Math.floor((2 * (rest * denominator + ticks * tickMicros) + scaledPer) / (2 * scaledPer));
  }
  const offset = BigInt(rest) * BigInt(denominator) + BigInt(ticks) * BigInt(tickMicros);
  return whole + Number((2n * offset + BigInt(scaledPer)) / (2n * BigInt(scaledPer)));
}
