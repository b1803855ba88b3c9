import { RTP_CLOCK_HZ } from './rtp-header.ts';

const WINDOW_MICROS = 2_000_000;

/**
 * A sender's clock beside ours: the shortest way that a packet of the last seconds took is taken for the true distance of the two
 * clocks, and what others took longer was the network's doing. Windows of two seconds, so that clocks that drift
 * (crystals: 100 ppm and less, common practice, no source) are followed to a fifth of a millisecond.
 */
export class Transit {
  #last: number | undefined;
  #ticks = 0;
  #windowFrom = 0;
  #least = Number.POSITIVE_INFINITY;
  #leastBefore = Number.POSITIVE_INFINITY;

  /** @returns the packet's own moment in µs of the sender's clock, for `toRunTime` */
  heard(timestamp: number, arrivedMicros: number): number {
    // Mod 2³², so the shorter way round is the true one.
    if (this.#last !== undefined) this.#ticks += (timestamp - this.#last) | 0;
    this.#last = timestamp;
    const micros = (this.#ticks * 1_000_000) / RTP_CLOCK_HZ;
    if (arrivedMicros - this.#windowFrom > WINDOW_MICROS) {
      this.#windowFrom = arrivedMicros;
      this.#leastBefore = this.#least;
      this.#least = Number.POSITIVE_INFINITY;
    }
    this.#least = Math.min(this.#least, arrivedMicros - micros);
    return micros;
  }

  toRunTime(senderMicros: number): number {
    return senderMicros + Math.min(this.#least, this.#leastBefore);
  }
}

export function microsOfTicks(ticks: number): number {
  return (ticks * 1_000_000) / RTP_CLOCK_HZ;
}
