import type { Standstills } from './standstills.ts';

/** What came over a wire, in order. Times in microseconds; all columns of one table are equally long. */
export interface HeardMusic {
  /** False: the bytes came without times; then every time is the place of the byte at 320 µs a byte. */
  readonly hasTimes: boolean;
  /** When the first message came and the last; NaN for none. */
  readonly beganMicros: number;
  readonly lastMicros: number;
  /** What came before the first message was the rest of one, or of some under a status byte that nobody heard. */
  readonly isTorn: boolean;
  readonly on: HeardNotes;
  /** Note-offs, velocity-0 note-ons among them, that ended nothing: how many messages of any kind came before each. */
  readonly surplusOffs: Uint32Array;
  /** Channel messages that are no notes. */
  readonly state: HeardState;
  readonly sysEx: HeardSysEx;
  readonly faults: HeardFaults;
  /** Beginnings of what came without a gap: the moments at which a player began to send. */
  readonly bursts: Float64Array;
  /** [bursts] how many messages of any kind came before each. */
  readonly burstMessage: Uint32Array;
  /** When the listener itself stood still. */
  readonly standstills: Standstills;
  readonly messages: number;
  readonly bytes: number;
  /** [messages] Each as it came; of SysEx only that it did. */
  readonly said: HeardMessages;
}

export interface HeardMessages {
  readonly status: Uint8Array;
  readonly data1: Uint8Array;
  readonly data2: Uint8Array;
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

export interface HeardSysEx {
  readonly count: number;
  /** When each ended, and whether it was cut instead. */
  readonly micros: Float64Array;
  readonly cut: Uint8Array;
  /** Number of messages before it. */
  readonly message: Uint32Array;
  /** What stood between F0 and F7: of number n those from `end[n - 1]` to before `end[n]`. */
  readonly bytes: Uint8Array;
  readonly end: Uint32Array;
}

/** What stood between the F0 and F7 of one of them. */
export function bytesOfSysEx({ bytes, end }: HeardSysEx, n: number): Uint8Array {
  return bytes.subarray(n > 0 ? end[n - 1]! : 0, end[n]!);
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
