/** What came, as it came. */
export interface LoopHearing {
  readonly bytes: Uint8Array;
  /** For each delivery: how many bytes there were with it, and when its last byte was there (µs). */
  readonly chunkEnd: Uint32Array;
  readonly chunkMicros: Float64Array;
  /** Bytes that came beyond what anybody could have sent, and were not kept. */
  readonly unkept: number;
  /** The input went away meanwhile. */
  readonly isLost: boolean;
}

/** What the sender knows of its own side. */
export interface LoopSending {
  /** [step] when the port took it (µs, on the same clock as the hearing); NaN where it did not. */
  readonly handedMicros: Float64Array;
  /** Longest time (µs) for which the port took nothing. */
  readonly heldMicros: number;
  /** The port went away before all was sent. */
  readonly isLost: boolean;
}

/** How many bytes the port took: up to the first step that it did not. */
export function bytesTaken({ handedMicros }: LoopSending, start: Uint32Array): number {
  for (let step = 0; step < handedMicros.length; step += 1) {
    if (Number.isNaN(handedMicros[step]!)) return start[step]!;
  }
  return start[handedMicros.length]!;
}
