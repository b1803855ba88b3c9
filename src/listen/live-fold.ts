import type { ToldFault } from '../core/compare/log-remarks.ts';
import { ActiveSensing } from '../core/midi/active-sensing.ts';
import { Fault, type FaultKind } from '../core/midi/stream-fault.ts';
import {
  StreamParser,
  type StreamSink,
  SYSEX_CUT,
  SYSEX_FIRST,
  SYSEX_LAST,
} from '../core/midi/stream-parser.ts';
import { classifySysEx } from '../core/midi/universal-sysex.ts';
import { ClockTempo } from '../core/observe/clock-tempo.ts';
import { foldMessage, foldSystemReset } from '../core/observe/fold-message.ts';
import { foldWire } from '../core/observe/fold-wire.ts';
import { foldFault, Heard, type ListenState, SENSING } from '../core/observe/listen-state.ts';
import { type ObservedState, Slot } from '../core/observe/observed-state.ts';
import { AT_LENGTH, At } from '../core/schedule/outlet.ts';
import { microsPerByte, type WireTraits } from '../core/wire/wire-traits.ts';

/** Where whole messages go on to: the output of a pass-through. */
export interface MessageFollower {
  message(status: number, data1: number, data2: number): void;
  sysEx(bytes: Uint8Array, length: number, part: number): void;
}

/** Bytes of an input → observed state and listen state. Nothing is allocated for a message. */
export class LiveFold implements StreamSink {
  readonly #parser = new StreamParser(this);
  readonly #sensing = new ActiveSensing();
  readonly #tempo = new ClockTempo();
  readonly #microsPerByte: number;
  readonly #at = new Float64Array(AT_LENGTH).fill(-1);
  /** Start and end on the wire of the message being folded. */
  readonly #span = new Float64Array(2);
  /** Run time at which the last byte of the chunk was there, and its place in the stream. */
  #arrived = 0;
  #chunkEnd = 0;

  readonly #observed: ObservedState;
  readonly #listen: ListenState;
  readonly #paced: boolean;
  readonly #follower: MessageFollower | undefined;

  constructor(
    observed: ObservedState,
    listen: ListenState,
    wire: WireTraits,
    paced: boolean,
    follower: MessageFollower | undefined,
  ) {
    this.#observed = observed;
    this.#listen = listen;
    this.#paced = paced;
    this.#follower = follower;
    this.#microsPerByte = microsPerByte(wire);
    observed.numbers[Slot.microsPerByte] = this.#microsPerByte;
    observed.numbers[Slot.bytesPerSecond] = 1_000_000 / this.#microsPerByte;
  }

  bytes(chunk: Uint8Array, arrivedMicros: number): void {
    this.#arrived = arrivedMicros;
    this.#chunkEnd = this.#parser.offset + chunk.length;
    this.#sensing.heard(arrivedMicros);
    this.#listen.numbers[Heard.bytes]! += chunk.length;
    this.#listen.numbers[Heard.lastMicros] = arrivedMicros;
    this.#parser.feed(chunk);
  }

  /** The stream broke off. */
  finish(arrivedMicros: number): void {
    this.#arrived = arrivedMicros;
    this.#chunkEnd = this.#parser.offset;
    this.#parser.finish();
  }

  /** True when Active Sensing has run out: once for each time. */
  sensingExpired(nowMicros: number): boolean {
    if (!this.#sensing.expired(nowMicros)) return false;
    this.#listen.numbers[Heard.sensing] = SENSING.lost;
    this.#listen.numbers[Heard.sensingLost]! += 1;
    return true;
  }

  /** A clock that has stopped has no tempo. */
  look(nowMicros: number): void {
    if (this.#tempo.silentAt(nowMicros)) this.#listen.numbers[Heard.clockBpm] = 0;
  }

  message(status: number, data1: number, data2: number, wireBytes: number): void {
    this.#place(wireBytes);
    this.#listen.numbers[Heard.messages]! += 1;
    foldMessage(this.#observed, status, data1, data2, this.#at);
    foldWire(this.#observed, status < 0xf0 ? status & 15 : -1, wireBytes, this.#span);
    if (status >= 0xf0) this.#system(status, data1, data2);
    this.#follower?.message(status, data1, data2);
  }

  sysEx(bytes: Uint8Array, length: number, part: number): void {
    const { numbers } = this.#listen;
    this.#place(length);
    if ((part & SYSEX_FIRST) !== 0) {
      foldMessage(this.#observed, 0xf0, bytes[1] ?? 0, bytes[2] ?? 0, this.#at);
      const isWhole = (part & SYSEX_LAST) !== 0 && (part & SYSEX_CUT) === 0;
      if (isWhole && classifySysEx(bytes, 0, length).reset) foldSystemReset(this.#observed);
    }
    foldWire(this.#observed, -1, length, this.#span);
    numbers[Heard.sysExBytes]! += length;
    if ((part & SYSEX_LAST) !== 0) {
      numbers[Heard.messages]! += 1;
      if ((part & SYSEX_CUT) === 0) numbers[Heard.sysEx]! += 1;
    }
    this.#follower?.sysEx(bytes, length, part);
  }

  fault(kind: FaultKind, offset: number, count: number, byte1: number, byte2: number): void {
    foldFault(this.#listen, kind, offset, count, byte1, byte2, this.#arrived);
    // A cut SysEx was counted piece by piece already.
    if (kind === Fault.sysExCut) return;
    this.#place(count);
    foldWire(this.#observed, -1, count, this.#span);
  }

  rest(): void {
    this.#listen.numbers[Heard.rest]! += 1;
    this.#place(1);
    foldWire(this.#observed, -1, 1, this.#span);
  }

  /** What somebody else saw whose bytes do not come. */
  told({ kind, offset, bytes }: ToldFault, micros: number): void {
    if (kind === 'rest') this.#listen.numbers[Heard.rest]! += 1;
    else foldFault(this.#listen, kind, offset, bytes.length, bytes[0] ?? 0, bytes[1] ?? 0, micros);
  }

  /** Works out when the message that ends with the present byte was on the wire. */
  #place(wireBytes: number): void {
    const bytesAfter = Math.max(0, this.#chunkEnd - this.#parser.offset - 1);
    const last = this.#paced ? this.#arrived - bytesAfter * this.#microsPerByte : this.#arrived;
    const length = wireBytes * this.#microsPerByte;
    // Bytes follow one another; but what comes faster than any wire must not run ahead for ever.
    const start = Math.max(last - length, Math.min(this.#span[1]!, last + FURTHEST_AHEAD));
    this.#span[0] = start;
    this.#span[1] = start + length;
    this.#at[At.dueMicros] = this.#paced ? last - length : last;
  }

  #system(status: number, data1: number, data2: number): void {
    const { numbers } = this.#listen;
    switch (status) {
      case 0xf2:
        numbers[Heard.songPosition] = data1 | (data2 << 7);
        break;
      case 0xf8:
        numbers[Heard.clocks]! += 1;
        numbers[Heard.clockBpm] = this.#tempo.pulse(this.#at[At.dueMicros]!);
        break;
      case 0xfa:
        numbers[Heard.songPosition] = 0;
        numbers[Heard.senderRunning] = 1;
        break;
      case 0xfb:
        numbers[Heard.senderRunning] = 1;
        break;
      case 0xfc:
        numbers[Heard.senderRunning] = 0;
        break;
      case 0xfe:
        this.#sensing.sensed(this.#arrived);
        numbers[Heard.sensing] = SENSING.alive;
        break;
    }
  }
}

const FURTHEST_AHEAD = 100_000;
