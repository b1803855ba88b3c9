import { classifySysEx } from '../../core/midi/universal-sysex.ts';
import { foldMessage, foldSystemReset } from '../../core/observe/fold-message.ts';
import { foldOnsetLateness, foldPortWire, foldWire } from '../../core/observe/fold-wire.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { PortSlot, type PortState } from '../../core/observe/port-state.ts';
import { AT_LENGTH, At } from '../../core/schedule/outlet.ts';
import type { LatenessLog } from '../watch/lateness-log.ts';

/**
 * Folds what a port has taken into the observed state: never what was only meant to be sent.
 * Each lane has its own; calls come in the order of the writes and allocate nothing.
 */
export class WireWitness {
  /** A message's moments as the picture wants them: when it was on the wire, and where in the song. */
  readonly #seen = new Float64Array(AT_LENGTH);
  /** The first bytes of the SysEx that is passing. */
  readonly #head = new Uint8Array(HEAD_BYTES);
  /** Full where no SysEx has begun. */
  #headLength = HEAD_BYTES;

  readonly #observed: ObservedState;
  readonly #port: PortState;

  readonly #visits: LatenessLog | undefined;
  readonly #wait = new Float64Array(1);

  /** @param visits counts how long each message of whoever plays along took from its arrival to the wire */
  constructor(observed: ObservedState, port: PortState, visits?: LatenessLog) {
    this.#observed = observed;
    this.#port = port;
    this.#visits = visits;
  }

  /** What was just seen came from whoever plays along. */
  sawVisit(at: Float64Array, span: Float64Array): void {
    const { numbers } = this.#observed;
    this.#wait[0] = span[0]! - at[At.dueMicros]!;
    if (this.#wait[0]! > numbers[Slot.visitorWorstMicros]!) numbers[Slot.visitorWorstMicros] = this.#wait[0]!;
    this.#visits?.add(this.#wait);
  }

  /**
   * @param at the message's moments (see `At`)
   * @param span when it is on the wire (see `OnWire`)
   */
  sawMessage(
    status: number,
    data1: number,
    data2: number,
    wireBytes: number,
    at: Float64Array,
    span: Float64Array,
  ): void {
    this.#seen[At.dueMicros] = span[0]!;
    this.#seen[At.songMicros] = at[At.songMicros]!;
    foldMessage(this.#observed, status, data1, data2, this.#seen);
    foldWire(this.#observed, status < 0xf0 ? status & 15 : -1, wireBytes, span);
    foldPortWire(this.#port, wireBytes, span);
    this.#port.numbers[PortSlot.messages]! += 1;
    if ((status & 0xf0) !== 0x90 || data2 === 0) return;
    this.#port.numbers[PortSlot.noteOns]! += 1;
    // A click or a note struck again has no moment in the song that it could be late for.
    if (at[At.songMicros]! >= 0) foldOnsetLateness(this.#observed, this.#port, at, span);
  }

  /** @param bytes the piece as it went out; the first piece of a message has `status` F0, others 0 */
  sawPayload(status: number, bytes: Uint8Array, length: number, at: Float64Array, span: Float64Array): void {
    if (status !== 0) {
      this.#seen[At.dueMicros] = span[0]!;
      this.#seen[At.songMicros] = at[At.songMicros]!;
      foldMessage(this.#observed, status, 0, 0, this.#seen);
      this.#port.numbers[PortSlot.messages]! += 1;
      this.#headLength = 0;
    }
    for (let i = 0; i < length && this.#headLength < HEAD_BYTES; i += 1) {
      this.#head[this.#headLength] = bytes[i]!;
      this.#headLength += 1;
    }
    // A reset is one when it is whole; its packets may have come at different times.
    if (bytes[length - 1] === 0xf7) {
      if (classifySysEx(this.#head, 0, this.#headLength).reset) foldSystemReset(this.#observed);
      this.#headLength = HEAD_BYTES;
    }
    foldWire(this.#observed, -1, length, span);
    foldPortWire(this.#port, length, span);
  }
}

/** Enough of a message to know it by: F0, id, device, two sub-ids, and the F7 behind them. */
const HEAD_BYTES = 8;
