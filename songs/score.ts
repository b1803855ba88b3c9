import { BarGrid } from './bar-grid.ts';
import { TICKS_PER_QUARTER } from './notation.ts';
import { Part, type PartSetup } from './part.ts';
import { RANK, type ScoreEvent, utf8 } from './score-event.ts';

/** A piece of music: a conductor's track (tempo, meter, key, markers) and parts. */
export class Score {
  readonly title: string;
  readonly parts: Part[] = [];
  readonly conductor: ScoreEvent[] = [];
  readonly grid = new BarGrid();

  constructor(title: string) {
    this.title = title;
    this.#meta(0, 0x03, utf8(title));
    this.#meta(0, 0x02, utf8('Written for this program; MIT licence'));
  }

  /** GM System On (GM System Level 1). Modules need some tens of ms before the next message (common practice). */
  resetModule(): void {
    this.conductor.push({ tick: 0, rank: RANK.setting, bytes: [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7] });
  }

  /** Meters must be written down before positions behind them are asked for. */
  meter(tick: number, numerator: number, denominator: number): void {
    this.grid.add({ tick, numerator, denominator });
    const clocksPerClick = (24 * 4) / denominator;
    this.#meta(tick, 0x58, [numerator, Math.log2(denominator), clocksPerClick, 8]);
  }

  /** First tick of a bar, or of a beat in it; a beat may have a fraction. */
  at(bar: number, beat = 1): number {
    return this.grid.at(bar, beat);
  }

  tempo(tick: number, quartersPerMinute: number): void {
    const micros = Math.round(60_000_000 / quartersPerMinute);
    this.#meta(tick, 0x51, [(micros >> 16) & 255, (micros >> 8) & 255, micros & 255]);
  }

  /** A gradual change of tempo, a step every eighth. */
  easeTempo(from: number, to: number, start: number, end: number): void {
    const step = TICKS_PER_QUARTER / 2;
    for (let tick = from; tick <= to; tick += step) {
      this.tempo(tick, start + ((end - start) * (tick - from)) / (to - from));
    }
  }

  /** @param sharps negative for flats */
  key(tick: number, sharps: number, mode: 'major' | 'minor'): void {
    this.#meta(tick, 0x59, [sharps & 255, mode === 'minor' ? 1 : 0]);
  }

  marker(tick: number, text: string): void {
    this.#meta(tick, 0x06, utf8(text));
  }

  part(name: string, channel: number, setup: PartSetup): Part {
    const part = new Part(this.grid, name, channel, setup);
    this.parts.push(part);
    return part;
  }

  #meta(tick: number, type: number, data: readonly number[]): void {
    this.conductor.push({ tick, rank: RANK.setting, bytes: [0xff, type, ...data] });
  }
}
