import type { FaultKind } from '../midi/stream-fault.ts';
import { StreamParser, SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../midi/stream-parser.ts';
import type { ToldKind } from './log-remarks.ts';

/** On the wire (MIDI 1.0, p. 1). */
export const MICROS_PER_BYTE = 320;

/** Of a longer SysEx only so many bytes are kept, and compared: an input that never ends one must not fill the memory. */
export const LONGEST_COMPARED_SYSEX = 1 << 16;

/** Where what a stream says goes to: `HeardFold`, or `HeardEvents`. */
export interface HeardSink {
  message(status: number, data1: number, data2: number, micros: number): void;
  /** @param bytes between F0 and F7; good until the call returns */
  sysEx(bytes: Uint8Array, isCut: boolean, micros: number): void;
  fault(kind: FaultKind, micros: number): void;
}

/** Bytes as they come, with their times → messages, each with the time its first byte began. */
export class HeardStream {
  /** Bytes so far. */
  bytes = 0;
  /** Of `HeardMusic`. */
  isTorn = false;
  readonly #parser: StreamParser;
  readonly #sink: HeardSink;
  readonly #hasTimes: boolean;
  #micros = 0;
  /** Time of the first byte of the message that is being read. */
  #begin = 0;
  /** A message is whole: what comes next begins one, if only with running status. */
  #isWhole = false;
  #sysEx = new Uint8Array(256);
  #sysExLength = 0;

  constructor(hasTimes: boolean, sink: HeardSink) {
    this.#hasTimes = hasTimes;
    this.#sink = sink;
    this.#parser = new StreamParser({
      message: (status, data1, data2) => {
        if (status >= 0xf8) return;
        this.#isWhole = true;
        sink.message(status, data1, data2, this.#begin);
      },
      sysEx: (bytes, length, part) => {
        if ((part & SYSEX_FIRST) !== 0) this.#sysExLength = 0;
        for (let at = 0; at < length; at += 1) if (bytes[at]! < 0x80) this.#keep(bytes[at]!);
        if ((part & SYSEX_LAST) === 0) return;
        sink.sysEx(this.#sysEx.subarray(0, this.#sysExLength), (part & SYSEX_CUT) !== 0, this.#micros);
      },
      fault: (kind) => this.told(kind),
      rest: () => this.told('rest'),
    });
  }

  /** @param micros when the first of these bytes began */
  feed(bytes: Uint8Array, micros: number): void {
    for (let at = 0; at < bytes.length; at += 1) {
      this.#micros = this.#hasTimes ? micros + at * MICROS_PER_BYTE : this.bytes * MICROS_PER_BYTE;
      const byte = bytes[at]!;
      if (byte < 0xf8 && (byte >= 0x80 || this.#isWhole)) {
        this.#begin = this.#micros;
        this.#isWhole = false;
      }
      this.#parser.feed(bytes, at, at + 1);
      this.bytes += 1;
    }
  }

  /** What the parser saw that is no message, or somebody else, as a log's remark tells it. */
  told(kind: ToldKind): void {
    if (kind === 'rest') this.isTorn = true;
    else this.#sink.fault(kind, this.#micros);
  }

  #keep(byte: number): void {
    if (this.#sysExLength === LONGEST_COMPARED_SYSEX) return;
    if (this.#sysExLength === this.#sysEx.length) {
      const longer = new Uint8Array(2 * this.#sysEx.length);
      longer.set(this.#sysEx);
      this.#sysEx = longer;
    }
    this.#sysEx[this.#sysExLength] = byte;
    this.#sysExLength += 1;
  }

  /** The stream has ended: what is incomplete becomes a fault. */
  finish(): void {
    this.#parser.finish();
  }
}
