/**
 * Which status byte the receiver holds (MIDI 1.0, p. 5 and ), and so which one may be left out.
 *
 * Channel messages set it; F0–F7 clear it; F8–FE pass without touching it. FF (System Reset) clears it in a
 * receiver that knows the message (p. 33), so the next status is sent whole. An escape's bytes may be
 * anything: it clears too.
 */
export class RunningStatus {
  /** `device` sends every message whole: an interface that encodes for itself may or may not leave bytes out. */
  readonly #ours: boolean;
  #status = 0;
  /** [0] when the status byte was last on the wire. A register: a fractional field would be garbage. */
  readonly #sentMicros = new Float64Array(1);

  constructor(runningStatus: 'ours' | 'device') {
    this.#ours = runningStatus === 'ours';
  }

  /** The status the receiver holds, 0 for none. */
  get held(): number {
    return this.#status;
  }

  /** Bytes that this message would take at this time if it were sent next. */
  cost(status: number, lengthBytes: number, at: Float64Array, place: number): number {
    return this.#mayLeaveOut(status, at, place) ? lengthBytes - 1 : lengthBytes;
  }

  /**
   * Sends: returns the bytes that go out, `lengthBytes` or one less (then the status byte is left out).
   * @param at `at[place]` is the time (µs) at which the message begins on the wire
   */
  send(status: number, lengthBytes: number, at: Float64Array, place: number): number {
    if (this.#mayLeaveOut(status, at, place)) return lengthBytes - 1;
    if (status < 0xf0) {
      this.#status = status;
      this.#sentMicros[0] = at[place]!;
    } else if (status < 0xf8 || status === 0xff) {
      this.#status = 0;
    }
    return lengthBytes;
  }

  forget(): void {
    this.#status = 0;
  }

  #mayLeaveOut(status: number, at: Float64Array, place: number): boolean {
    return (
      this.#ours &&
      status === this.#status &&
      status !== 0 &&
      at[place]! - this.#sentMicros[0]! < STATUS_REFRESH_MICROS
    );
  }
}

/**
 * After this long the status byte goes out again although the receiver should know it: a module switched on
 * or plugged in late can then join. MIDI 1.0, p. A-2 advises it "every few seconds"; two is our choice.
 */
export const STATUS_REFRESH_MICROS = 2_000_000;
