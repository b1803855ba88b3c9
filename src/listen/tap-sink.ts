import type { ToldKind } from '../core/compare/log-remarks.ts';
import type { FaultKind } from '../core/midi/stream-fault.ts';
import type { TapRing } from '../ports/tap-ring.ts';
import type { ChunkSink } from './record-chunk.ts';

/** The listener's port is 0; under this number the ring has when it stood still. */
const STANDSTILL_PORT = 1;
/** And under this one what a log tells of the stream it was made of. */
const TOLD_PORT = 2;
const REST = 255;
/** The comparing thread looks seldom, but not as seldom as this. */
const LONGEST_WAIT_MS = 60_000;

/** What is heard on its way to the thread that compares. */
export class TapSink implements ChunkSink {
  readonly #tap: TapRing;
  readonly #mayWait: boolean;
  readonly #at = new Float64Array(1);
  readonly #from = new Float64Array(1);
  readonly #fromBytes = new Uint8Array(this.#from.buffer);

  /** @param mayWait nobody waits for what is heard on a virtual clock, and none of it need be lost */
  constructor(tap: TapRing, mayWait: boolean) {
    this.#tap = tap;
    this.#mayWait = mayWait;
  }

  feed(port: number, bytes: Uint8Array, start: number, end: number, micros: number): void {
    this.#at[0] = micros;
    if (this.#mayWait) this.#tap.waitForRoom(end - start, LONGEST_WAIT_MS);
    this.#tap.put(port, bytes, start, end - start, this.#at);
  }

  /** Between the bytes before and behind it. */
  told(kind: ToldKind, micros: number): void {
    this.#at[0] = micros;
    if (this.#mayWait) this.#tap.waitForRoom(1, LONGEST_WAIT_MS);
    this.#tap.put(TOLD_PORT, Uint8Array.of(kind === 'rest' ? REST : kind), 0, 1, this.#at);
  }

  /** When it ended is the entry's time, when it began its bytes. */
  stoodStill(fromMicros: number, toMicros: number): void {
    this.#from[0] = fromMicros;
    this.#at[0] = toMicros;
    this.#tap.put(STANDSTILL_PORT, this.#fromBytes, 0, this.#fromBytes.length, this.#at);
  }
}

/** @returns when a standstill began; undefined for an entry that is of bytes heard */
export function standstillFrom(port: number, bytes: Uint8Array): number | undefined {
  if (port !== STANDSTILL_PORT) return undefined;
  return new Float64Array(Uint8Array.from(bytes).buffer)[0]!;
}

/** @returns what a log tells; undefined for an entry that is none of its remarks */
export function toldFrom(port: number, bytes: Uint8Array): ToldKind | undefined {
  if (port !== TOLD_PORT) return undefined;
  return bytes[0] === REST ? 'rest' : (bytes[0] as FaultKind);
}
