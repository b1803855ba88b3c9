import { hrtime } from 'node:process';
import { type OutputPort, WRITE_DONE, WRITE_FULL, WRITE_LOST, type WriteOutcome } from '../output-port.ts';
import type { RtpLink } from './rtp-link.ts';
import { RTP_WIRE } from './rtp-name.ts';

/**
 * `rtp:<host>:<port>` in the thread that sends: puts messages where `RtpTransmitter`, in a thread of its own, takes them from.
 * Run time becomes a moment of the clock that both threads share: a message is on the wire when it is handed over, or
 * later where the wire is behind, so the greatest distance of the two clocks seen is the true one.
 */
export class RtpPort implements OutputPort {
  readonly name: string;
  readonly wire = RTP_WIRE;
  readonly #link: RtpLink;
  readonly #nanos = new BigUint64Array(1);
  readonly #halves = new Uint32Array(this.#nanos.buffer);
  readonly #distance = Float64Array.of(Number.NEGATIVE_INFINITY);
  readonly #moment = new Float64Array(1);
  #isClosed = false;

  constructor(name: string, link: RtpLink) {
    this.name = name;
    this.#link = link;
  }

  write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (this.#isClosed || !this.#link.isPresent) return WRITE_LOST;
    if (!this.#link.ring.hasRoom(length)) return WRITE_FULL;
    // Into a register and no garbage: see `RunClock`.
    this.#nanos[0] = readNanos();
    const nowMicros = (this.#halves[HIGH]! * 4_294_967_296 + this.#halves[1 - HIGH]!) / 1000;
    this.#distance[0] = Math.max(this.#distance[0]!, nowMicros - at[0]!);
    this.#moment[0] = at[0]! + this.#distance[0]!;
    this.#link.ring.put(0, bytes, start, length, this.#moment);
    this.#link.wake();
    return WRITE_DONE;
  }

  /** True once all was sent, and told again three times for the sake of what is lost. */
  flush(): boolean {
    return this.#isClosed || !this.#link.isPresent || this.#link.isSettled;
  }

  revive(): boolean {
    return !this.#isClosed && this.#link.isPresent;
  }

  gone(): boolean {
    return !this.#isClosed && !this.#link.isPresent;
  }

  close(): void {
    this.#isClosed = true;
  }
}

const readNanos = hrtime.bigint;
/** Which half of a number of 64 bits is the high one here. */
const HIGH = new Uint8Array(new Uint32Array([1]).buffer)[0] === 1 ? 1 : 0;
