/**
 * How many bytes are still on their way along a line whose rate is known, for a terminal that never answers. A pure
 * reckoning, as `FramePace`.
 */
export class LineRate {
  /** 0 while not known. */
  #bytesPerMilli = 0;
  /** Bytes on their way at `#at`. */
  #waiting = 0;
  #at = 0;

  known(bytesPerSecond: number): void {
    this.#bytesPerMilli = bytesPerSecond / 1000;
  }

  writing(now: number, bytes: number): void {
    this.#waiting = Math.max(0, this.#waiting - (now - this.#at) * this.#bytesPerMilli) + bytes;
    this.#at = now;
  }

  /** When the line will have carried what is on its way, but for the last so many milliseconds. */
  freeAt(aheadMillis: number): number {
    return this.#bytesPerMilli === 0 ? 0 : this.#at + this.#waiting / this.#bytesPerMilli - aheadMillis;
  }
}
