/**
 * Supervision by Active Sensing (MIDI 1.0, p. 32). The first FE arms it; from then on any byte is a sign of
 * life, and a silence beyond 330 ms means that the sender is gone: the receiver turns its voices off and goes
 * back to work without supervision, until the next FE.
 */
export class ActiveSensing {
  #armed = false;
  #heardMicros = 0;

  get armed(): boolean {
    return this.#armed;
  }

  /** Run time of the last sign of life. */
  get heardMicros(): number {
    return this.#heardMicros;
  }

  /** Any byte came at run time `micros`. */
  heard(micros: number): void {
    this.#heardMicros = micros;
  }

  /** An FE came. */
  sensed(micros: number): void {
    this.#armed = true;
    this.#heardMicros = micros;
  }

  /** True once for each silence that is too long. */
  expired(nowMicros: number): boolean {
    if (!this.#armed || nowMicros - this.#heardMicros <= SENSING_LIMIT_MICROS) return false;
    this.#armed = false;
    return true;
  }
}

/** "beyond 330 ms": the receiver's mark; the sender's is 300 ms. */
export const SENSING_LIMIT_MICROS = 330_000;
