import { FAULT_KINDS, type FaultKind } from '../midi/stream-fault.ts';
import type { RtpCounts } from '../network/rtp-receiver.ts';

/**
 * What listening knows beside the sixteen channels: how much came, what was wrong with it, and what the
 * sender's clock and Active Sensing say. One SharedArrayBuffer; the listening thread writes, others look.
 *
 *   f64  numbers 27 · fault offset 64 · fault time 64
 *   u32  fault counts 8
 *   u8   fault kind 64 · bytes 64 × 2 · byte count 64
 */
export interface ListenState {
  readonly buffer: SharedArrayBuffer;
  /** Single values, indexed by `Heard`. */
  readonly numbers: Float64Array;
  /** [FAULT_KINDS] how often each kind came. */
  readonly faultCounts: Uint32Array;
  /** Ring of the latest FAULTS_KEPT faults: place in the stream, run time (µs), kind, and its bytes. */
  readonly faultOffset: Float64Array;
  readonly faultMicros: Float64Array;
  readonly faultKind: Uint8Array;
  /** [FAULTS_KEPT × 2] */
  readonly faultBytes: Uint8Array;
  readonly faultByteCount: Uint8Array;
}

/** Places in `ListenState.numbers`. */
export const Heard = {
  bytes: 0,
  messages: 1,
  /** Faults so far; the next one goes to row `faults mod FAULTS_KEPT`. */
  faults: 2,
  /** SysEx messages whole, and bytes of all SysEx. */
  sysEx: 3,
  sysExBytes: 4,
  /** Beats a minute by the sender's clock over the last quarter note; 0 while there is no clock. */
  clockBpm: 5,
  /** Clock pulses (F8) so far. */
  clocks: 6,
  /** See SENSING. */
  sensing: 7,
  /** How often Active Sensing ran out. */
  sensingLost: 8,
  /** 0 stopped, 1 running, by the sender's Start, Continue and Stop. */
  senderRunning: 9,
  /** Song Position Pointer last seen, in sixteenths; −1 before the first. */
  songPosition: 10,
  /** 0 the input is there, 1 it is gone, 2 it has ended. */
  inputTrouble: 11,
  /** Messages passed on, and left out because the output was full or gone. */
  passedOn: 12,
  leftOut: 13,
  /** Run time (µs) at which the latest byte was there. */
  lastMicros: 14,
  /** 1 where the input comes in packets; then how many by what became of them, as `RtpCounts` has them. */
  inPackets: 15,
  packetsHeard: 16,
  packetsLost: 17,
  packetsRecovered: 18,
  packetsReordered: 19,
  packetsLate: 20,
  packetsForeign: 21,
  packetsUnreadable: 22,
  packetsMended: 23,
  /** How often the listening thread itself stood still, and for how long at the longest (µs). */
  standstills: 24,
  longestStandstill: 25,
  /** Bytes before the first status byte: see `StreamSink.rest`. */
  rest: 26,
} as const;

export const FAULTS_KEPT = 64;
/** Values of `Heard.sensing`: none came; it comes as it should; it ran out. */
export const SENSING = { none: 0, alive: 1, lost: 2 } as const;

const NUMBERS = 27;
const COUNTS = 8;
const F64_BYTES = (NUMBERS + 2 * FAULTS_KEPT) * 8;
const BYTES = F64_BYTES + COUNTS * 4 + FAULTS_KEPT * 4;

export function createListenState(buffer: SharedArrayBuffer = new SharedArrayBuffer(BYTES)): ListenState {
  const state: ListenState = {
    buffer,
    numbers: new Float64Array(buffer, 0, NUMBERS),
    faultOffset: new Float64Array(buffer, NUMBERS * 8, FAULTS_KEPT),
    faultMicros: new Float64Array(buffer, (NUMBERS + FAULTS_KEPT) * 8, FAULTS_KEPT),
    faultCounts: new Uint32Array(buffer, F64_BYTES, COUNTS),
    faultKind: new Uint8Array(buffer, F64_BYTES + COUNTS * 4, FAULTS_KEPT),
    faultByteCount: new Uint8Array(buffer, F64_BYTES + COUNTS * 4 + FAULTS_KEPT, FAULTS_KEPT),
    faultBytes: new Uint8Array(buffer, F64_BYTES + COUNTS * 4 + 2 * FAULTS_KEPT, FAULTS_KEPT * 2),
  };
  if (state.numbers[Heard.bytes] === 0) state.numbers[Heard.songPosition] = -1;
  return state;
}

/** What became of the packets an input came in. */
export function setPackets({ numbers }: ListenState, counts: RtpCounts): void {
  numbers[Heard.inPackets] = 1;
  numbers[Heard.packetsHeard] = counts.heard;
  numbers[Heard.packetsLost] = counts.lost;
  numbers[Heard.packetsRecovered] = counts.recovered;
  numbers[Heard.packetsReordered] = counts.reordered;
  numbers[Heard.packetsLate] = counts.late;
  numbers[Heard.packetsForeign] = counts.foreign;
  numbers[Heard.packetsUnreadable] = counts.unreadable;
  numbers[Heard.packetsMended] = counts.mended;
}

/** The same again; undefined where the input does not come in packets. */
export function packetsOf({ numbers }: ListenState): RtpCounts | undefined {
  if (numbers[Heard.inPackets] !== 1) return undefined;
  return {
    heard: numbers[Heard.packetsHeard]!,
    lost: numbers[Heard.packetsLost]!,
    recovered: numbers[Heard.packetsRecovered]!,
    reordered: numbers[Heard.packetsReordered]!,
    late: numbers[Heard.packetsLate]!,
    foreign: numbers[Heard.packetsForeign]!,
    unreadable: numbers[Heard.packetsUnreadable]!,
    mended: numbers[Heard.packetsMended]!,
  };
}

/** Counts and keeps a fault, as `StreamSink.fault` tells it. */
export function foldFault(
  state: ListenState,
  kind: FaultKind,
  offset: number,
  count: number,
  byte1: number,
  byte2: number,
  micros: number,
): void {
  const row = state.numbers[Heard.faults]! % FAULTS_KEPT;
  state.faultOffset[row] = offset;
  state.faultMicros[row] = micros;
  state.faultKind[row] = kind;
  state.faultByteCount[row] = count;
  state.faultBytes[row * 2] = byte1;
  state.faultBytes[row * 2 + 1] = byte2;
  state.faultCounts[kind]! += 1;
  // Last, so that a reader never counts a row that is not written yet.
  state.numbers[Heard.faults]! += 1;
}

export interface SeenFault {
  readonly kind: FaultKind;
  readonly offset: number;
  readonly micros: number;
  readonly bytes: readonly number[];
}

/** The faults that are kept, oldest first, from the `from`-th (counted from 0) on. */
export function faultsSince(state: ListenState, from: number): SeenFault[] {
  const total = state.numbers[Heard.faults]!;
  const faults: SeenFault[] = [];
  for (let index = Math.max(from, total - FAULTS_KEPT, 0); index < total; index += 1) {
    const row = index % FAULTS_KEPT;
    faults.push({
      kind: state.faultKind[row] as FaultKind,
      offset: state.faultOffset[row]!,
      micros: state.faultMicros[row]!,
      bytes: [state.faultBytes[row * 2]!, state.faultBytes[row * 2 + 1]!].slice(
        0,
        state.faultByteCount[row]!,
      ),
    });
  }
  return faults;
}

/** Total of each kind, in the order of `Fault`. */
export function faultCounts(state: ListenState): number[] {
  return [...state.faultCounts.subarray(0, FAULT_KINDS)];
}
