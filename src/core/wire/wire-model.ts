import { LoadWindow } from './load-window.ts';
import { RunningStatus } from './running-status.ts';
import { microsPerByte, type WireTraits } from './wire-traits.ts';

/** Places in the register that goes with `WireModel.place`. All in microseconds on one clock. */
export const WireAt = {
  /** In: when the message is ready to leave. */
  ready: 0,
  /** Out: when its first byte begins on the wire. */
  start: 1,
  /** Out: when its last byte has ended. */
  end: 2,
} as const;

/**
 * The one model of the line that the mock port, the live meter, the plan and the report share: messages follow
 * one another, none overlaps, a byte takes `bitsPerByte / baud`, and the status byte is left out where the port
 * lets us. Allocates nothing after construction, so the sending loop can use it.
 */
export class WireModel {
  readonly #gapMicros: number;
  readonly #afterProgramMicros: number;
  readonly microsPerByte: number;
  readonly load100ms: LoadWindow;
  readonly load1s: LoadWindow;
  readonly #running: RunningStatus;
  /** [0] the wire is free, receiver gap included. */
  readonly #free = new Float64Array(1);
  #bytes = 0;

  constructor(traits: WireTraits) {
    this.#gapMicros = traits.gapMicros;
    this.#afterProgramMicros = traits.afterProgramMicros ?? 0;
    this.microsPerByte = microsPerByte(traits);
    this.load100ms = new LoadWindow(100_000, this.microsPerByte);
    this.load1s = new LoadWindow(1_000_000, this.microsPerByte);
    this.#running = new RunningStatus(traits.runningStatus);
    this.#free.fill(Number.NEGATIVE_INFINITY);
  }

  /**
   * Puts a message on the wire behind all that went before.
   * @param status status byte: 80–FF; F0 for a SysEx, F7 for escape bytes
   * @param lengthBytes whole length, status byte included (for an escape: its bytes)
   * @param at register, see `WireAt`
   * @returns bytes on the wire: `lengthBytes`, or one less when the status byte is to be left out
   */
  place(status: number, lengthBytes: number, at: Float64Array): number {
    at[WireAt.start] = Math.max(at[WireAt.ready]!, this.#free[0]!);
    const bytes = this.#running.send(status, lengthBytes, at, WireAt.start);
    at[WireAt.end] = at[WireAt.start]! + bytes * this.microsPerByte;
    this.#free[0] = at[WireAt.end]! + this.#gapMicros;
    if ((status & 0xf0) === 0xc0) this.#free[0]! += this.#afterProgramMicros;
    this.#bytes += bytes;
    this.load100ms.add(at, WireAt.start);
    this.load1s.add(at, WireAt.start);
    return bytes;
  }

  /** Holds the wire still until `until[0]` (the time a module needs after a reset, say). */
  hold(until: Float64Array): void {
    if (until[0]! > this.#free[0]!) this.#free[0] = until[0]!;
  }

  /** Writes to `into[0]` when the wire can take the next message; −∞ before the first. */
  freeMicros(into: Float64Array): void {
    into[0] = this.#free[0]!;
  }

  get bytes(): number {
    return this.#bytes;
  }
}
