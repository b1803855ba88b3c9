/**
 * Tempo by MIDI clock: 24 pulses are a quarter note (MIDI 1.0, p. 30). Taken over the last 24 pulses, so that
 * the jitter of single arrivals averages out.
 */
export class ClockTempo {
  readonly #times = new Float64Array(PULSES_A_QUARTER + 1);
  #count = 0;

  /** Beats a minute after this pulse; 0 until three pulses were seen without a break. */
  pulse(micros: number): number {
    const last = this.#times[(this.#count - 1 + SIZE) % SIZE]!;
    if (micros - last > BREAK_MICROS) this.#count = 0;
    this.#times[this.#count % SIZE] = micros;
    this.#count += 1;
    const pulses = Math.min(this.#count, SIZE) - 1;
    if (pulses < 2) return 0;
    const first = this.#times[(this.#count - 1 - pulses) % SIZE]!;
    return micros > first ? (60_000_000 * pulses) / (PULSES_A_QUARTER * (micros - first)) : 0;
  }

  /** Whether the clock has gone quiet. */
  silentAt(micros: number): boolean {
    return this.#count === 0 || micros - this.#times[(this.#count - 1) % SIZE]! > BREAK_MICROS;
  }
}

const PULSES_A_QUARTER = 24;
const SIZE = PULSES_A_QUARTER + 1;
/** At 10 beats a minute pulses are 250 ms apart: slower than that is a clock that stopped. */
const BREAK_MICROS = 300_000;
