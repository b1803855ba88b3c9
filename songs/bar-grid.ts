import { type Meter, meterMapOf } from '../src/core/timeline/meter-map.ts';
import { TICKS_PER_QUARTER } from './notation.ts';

/** Where bars and beats are. Meters must be written down before positions behind them are asked for. */
export class BarGrid {
  readonly #meters: Meter[] = [];
  #map = meterMapOf(TICKS_PER_QUARTER, []);

  add(meter: Meter): void {
    this.#meters.push(meter);
    this.#map = meterMapOf(TICKS_PER_QUARTER, this.#meters);
  }

  /** First tick of a bar, or of a beat in it; a beat may have a fraction. */
  at(bar: number, beat = 1): number {
    const start = this.#map.tickOf(bar);
    const { denominator } = this.#map.barBeatAt(start);
    return start + Math.round((beat - 1) * ((4 * TICKS_PER_QUARTER) / denominator));
  }

  barTicksAt(tick: number): number {
    const { numerator, denominator } = this.#map.barBeatAt(tick);
    return (4 * TICKS_PER_QUARTER * numerator) / denominator;
  }

  /** Ticks since the bar line before `tick`. */
  tickInBar(tick: number): number {
    return tick - this.#map.tickOf(this.#map.barBeatAt(tick).bar);
  }
}
