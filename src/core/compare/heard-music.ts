import type { MessageTally } from './message-tally.ts';
import type { Standstills } from './standstills.ts';

/** What came over a wire, in order. Times in microseconds; all columns of one table are equally long. */
export interface HeardMusic {
  /** False: the bytes came without times; then every time is the place of the byte at 320 µs a byte. */
  readonly hasTimes: boolean;
  readonly on: HeardNotes;
  /** Note-offs, velocity-0 note-ons among them, that ended nothing. */
  readonly surplusOffs: number;
  /** Channel messages that are no notes. */
  readonly state: HeardState;
  /** Times at which a SysEx ended; whether each was cut instead of ended. */
  readonly sysExMicros: Float64Array;
  readonly sysExCut: Uint8Array;
  /** Number of messages before each. */
  readonly sysExMessage: Uint32Array;
  readonly faults: HeardFaults;
  /** Beginnings of what came without a gap: the moments at which a player began to send. */
  readonly bursts: Float64Array;
  /** When the listener itself stood still. */
  readonly standstills: Standstills;
  readonly messages: number;
  readonly bytes: number;
  /** Channel messages, releases as note-offs of no velocity; and the data bytes of those that have two. */
  readonly tally: MessageTally;
  readonly dataTally: MessageTally;
}

export interface HeardNotes {
  readonly count: number;
  readonly micros: Float64Array;
  readonly channel: Uint8Array;
  readonly key: Uint8Array;
  readonly velocity: Uint8Array;
  /** When it was let go; NaN: never. */
  readonly offMicros: Float64Array;
  /** How many messages of any kind came before it. */
  readonly message: Uint32Array;
  /** Status byte of the channel message before it, 0 for none. */
  readonly statusBefore: Uint8Array;
}

export interface HeardState {
  readonly count: number;
  readonly micros: Float64Array;
  readonly status: Uint8Array;
  readonly data1: Uint8Array;
  readonly data2: Uint8Array;
}

export interface HeardFaults {
  readonly count: number;
  readonly micros: Float64Array;
  /** `Fault` */
  readonly kind: Uint8Array;
  /** Number of messages before it. */
  readonly message: Uint32Array;
  readonly byKind: readonly number[];
}
