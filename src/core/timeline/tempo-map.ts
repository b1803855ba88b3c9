/** Ticks ↔ microseconds, exactly. Made by `tempoMapOf`; every stretch is computed from its own start. */
export interface TempoMap {
  /** Stretches of constant tempo in tick order; the first begins at tick 0. */
  readonly stretches: readonly TempoStretch[];
  /** Song time of a tick in whole microseconds (rounded half up once, never accumulated). */
  microsAt(tick: number): number;
  /** Tick (fractional) at a song time. */
  tickAt(micros: number): number;
  /** The stretch in force at a song time. */
  stretchAt(micros: number): TempoStretch;
}

export interface TempoStretch {
  readonly tick: number;
  readonly micros: number;
  /** Microseconds a quarter note, as written in the song (500,000 where it says nothing). */
  readonly microsPerQuarter: number;
}
