import { lastNotAfter } from './last-not-after.ts';

/** Bars and beats. Bars and beats count from 1, as musicians do; ticks within a beat from 0. */
export interface MeterMap {
  readonly changes: readonly MeterChange[];
  barBeatAt(tick: number): BarBeat;
  /** First tick of a bar (1-based), and of a beat in it when given; clamps to the song's start. */
  tickOf(bar: number, beat?: number): number;
}

export interface MeterChange {
  readonly tick: number;
  /** Number of the bar that begins here. A change in mid-bar begins a new bar. */
  readonly bar: number;
  readonly numerator: number;
  /** 1, 2, 4, 8, … the note value of one beat. */
  readonly denominator: number;
  /** Not always whole: a 64th is 1.5 ticks at 24 ticks a quarter. Beats then begin at the next whole tick. */
  readonly ticksPerBeat: number;
}

export interface BarBeat {
  readonly bar: number;
  readonly beat: number;
  readonly tick: number;
  readonly numerator: number;
  readonly denominator: number;
}

/** A time signature as it stands in a song; `numerator` ≥ 1, `denominator` a power of two. */
export interface Meter {
  readonly tick: number;
  readonly numerator: number;
  readonly denominator: number;
}

/**
 * The meter map of a song; 4/4 until it says otherwise (SMF 1.1, section 2.2).
 * @param meters in tick order; of several at one tick the last counts
 */
export function meterMapOf(ticksPerQuarter: number, meters: Iterable<Meter>): MeterMap {
  const changes = changesOf(ticksPerQuarter, meters);
  return {
    changes,
    barBeatAt: (tick) => barBeatIn(changes[lastNotAfter(changes, 'tick', tick)]!, Math.max(0, tick)),
    tickOf(bar, beat = 1) {
      const index = lastNotAfter(changes, 'bar', bar);
      const { tick, bar: firstBar, numerator, ticksPerBeat } = changes[index]!;
      const beats = Math.max(0, bar - firstBar) * numerator + Math.min(Math.max(1, beat), numerator) - 1;
      const end = changes[index + 1]?.tick ?? Number.POSITIVE_INFINITY;
      return Math.min(tick + Math.ceil(beats * ticksPerBeat), end);
    },
  };
}

function changesOf(ticksPerQuarter: number, meters: Iterable<Meter>): MeterChange[] {
  const changes: MeterChange[] = [];
  let last = changeOf(ticksPerQuarter, { tick: 0, numerator: 4, denominator: 4 }, 1);
  for (const meter of meters) {
    const same = meter.numerator === last.numerator && meter.denominator === last.denominator;
    const bars = (meter.tick - last.tick) / (last.ticksPerBeat * last.numerator);
    if (same && Number.isInteger(bars)) continue; // said again at a bar line: nothing changes
    if (meter.tick > last.tick) changes.push(last);
    last = changeOf(ticksPerQuarter, meter, last.bar + Math.ceil(bars));
  }
  changes.push(last);
  return changes;
}

function changeOf(ticksPerQuarter: number, meter: Meter, bar: number): MeterChange {
  const { tick, numerator, denominator } = meter;
  return { tick, bar, numerator, denominator, ticksPerBeat: (4 * ticksPerQuarter) / denominator };
}

/** All quotients are exact enough to floor: a tick is under 2³², a beat a multiple of 2⁻¹⁰ ticks. */
function barBeatIn(change: MeterChange, tick: number): BarBeat {
  const { numerator, denominator, ticksPerBeat } = change;
  const beats = Math.floor((tick - change.tick) / ticksPerBeat);
  const beatStart = change.tick + Math.ceil(beats * ticksPerBeat);
  return {
    bar: change.bar + Math.floor(beats / numerator),
    beat: (beats % numerator) + 1,
    tick: tick - beatStart,
    numerator,
    denominator,
  };
}
