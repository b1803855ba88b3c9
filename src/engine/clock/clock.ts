/** Where the sending loop reads run time (µs): the real clock, or one that a test or a virtual run sets. */
export interface Clock {
  /** Writes the run time to `into[0]`; a register, so that reading makes no garbage. */
  read(into: Float64Array): void;
}
