/**
 * How much later a song's messages are on a wire because of bytes that are not the song's: a silence by key, the
 * chase after a jump, a state told anew. A note that waits behind those is late by command, not by the song.
 *
 * A wire hands on what comes in turn, so such bytes put everything behind them off by their own time, until the
 * wire would have fallen idle without them; from then on by as much as the wire was still busy. What is left is
 * exact: the moment at which a wire that carries the song alone would have sent the message. Allocates nothing.
 */
export class CommandDelay {
  /** [0] microseconds by which the next message of the song is put off. */
  readonly micros = new Float64Array(1);

  /**
   * The next message came at run time `came[0]`, and the wire is free at `free[0]`: nothing is put off by more
   * than it has to wait.
   */
  next(came: Float64Array, free: Float64Array): void {
    const { micros } = this;
    micros[0] = Math.min(micros[0]!, Math.max(0, free[0]! - came[0]!));
  }

  /** Bytes that are not the song's began at `start[0]`, and the wire is free again at `free[0]`. */
  add(start: Float64Array, free: Float64Array): void {
    this.micros[0] = this.micros[0]! + free[0]! - start[0]!;
  }
}
