import { DATA_BYTES, isRealTime, STATUS_TABLE } from './status.ts';
import { Fault, type FaultKind } from './stream-fault.ts';

/** Bits of `part` in `StreamSink.sysEx`. A short SysEx has FIRST and LAST set. */
export const SYSEX_FIRST = 1;
export const SYSEX_LAST = 2;
/** Together with LAST: no F7 came; another status byte, or the stream's end, cut it. */
export const SYSEX_CUT = 4;

/** Where the parser puts what it reads. Numbers only, so that nothing is allocated for a message. */
export interface StreamSink {
  /**
   * One whole channel, system common or real-time message.
   * @param data1 first data byte, 0 where the message has none; `data2` likewise
   * @param wireBytes bytes it took in the stream: with running status one fewer than the message has
   */
  message(status: number, data1: number, data2: number, wireBytes: number): void;
  /** The next `length` bytes of a SysEx, F0 and F7 among them. `bytes` is reused after the call. */
  sysEx(bytes: Uint8Array, length: number, part: number): void;
  /**
   * @param offset of the first faulty byte, counted from the stream's start (for a cut SysEx: of its F0)
   * @param count how many of `byte1`, `byte2` are meaningful; a cut SysEx gives F0 and the status that cut it
   */
  fault(kind: FaultKind, offset: number, count: number, byte1: number, byte2: number): void;
  /**
   * A data byte, or F7, before the first status byte: the rest of a message in whose middle listening began, or of some under a
   * status byte that nobody heard. Ignored (p. A-2), and no fault of the sender's.
   */
  rest?(offset: number, byte: number): void;
}

/** Longest piece of a SysEx handed on at once: bounded, whatever the sender does. */
export const SYSEX_PIECE = 256;

const NO_STATUS = 0;
const SYSEX_OPEN = 0xf0;
const SYSEX_END = 0xf7;

/** [256] 1 for what the standard leaves undefined: F4, F5, F9, FD. */
const UNDEFINED = Uint8Array.from(STATUS_TABLE, (entry) => (entry.defined ? 0 : 1));

/**
 * Reads a live MIDI stream byte by byte. The stream may be cut anywhere between two calls of `feed`; the same
 * bytes give the same messages. Real-time bytes are handed on at once, also from inside another message.
 */
export class StreamParser {
  /** Bytes fed so far. */
  offset = 0;

  /** Status that data bytes belong to: a channel status stays (running status), F0 while a SysEx is open. */
  #status = NO_STATUS;
  #wanted = 0;
  #have = 0;
  #data1 = 0;
  /** Offset of the message's first byte, and whether that was its status byte. */
  #begin = 0;
  #explicit = false;
  /** A status byte has come, other than real-time. */
  #isBegun = false;

  readonly #piece = new Uint8Array(SYSEX_PIECE);
  #pieceLength = 0;
  #part = SYSEX_FIRST;

  readonly #sink: StreamSink;

  constructor(sink: StreamSink) {
    this.#sink = sink;
  }

  /** True between a F0 and the status that ends it. */
  get inSysEx(): boolean {
    return this.#status === SYSEX_OPEN;
  }

  feed(bytes: Uint8Array, start = 0, end = bytes.length): void {
    for (let at = start; at < end; at += 1) this.#byte(bytes[at]!);
  }

  /** The stream has ended, or the cable was pulled: what is still incomplete becomes a fault, and what comes next begins anew. */
  finish(): void {
    this.#cut(NO_STATUS);
    this.#status = NO_STATUS;
    this.#have = 0;
    this.#isBegun = false;
  }

  #byte(byte: number): void {
    if (byte < 0x80) this.#data(byte);
    else if (isRealTime(byte)) this.#realTime(byte);
    else this.#newStatus(byte);
    this.offset += 1;
  }

  #data(byte: number): void {
    if (!this.#isBegun) {
      this.#sink.rest?.(this.offset, byte);
      return;
    }
    if (this.#status === NO_STATUS) {
      this.#sink.fault(Fault.strayData, this.offset, 1, byte, 0);
      return;
    }
    if (this.#status === SYSEX_OPEN) {
      this.#sysExByte(byte);
      return;
    }
    if (this.#have === 0) {
      if (!this.#explicit) this.#begin = this.offset;
      if (this.#wanted === 2) {
        this.#data1 = byte;
        this.#have = 1;
        return;
      }
      this.#complete(byte, 0);
      return;
    }
    this.#complete(this.#data1, byte);
  }

  #complete(data1: number, data2: number): void {
    const status = this.#status;
    const wireBytes = this.#wanted + (this.#explicit ? 1 : 0);
    this.#have = 0;
    this.#explicit = false;
    // Only channel messages leave a running status (p. A-1).
    if (status >= 0xf0) this.#status = NO_STATUS;
    this.#sink.message(status, data1, data2, wireBytes);
  }

  #realTime(byte: number): void {
    if (UNDEFINED[byte] === 0) this.#sink.message(byte, 0, 0, 1);
    else this.#sink.fault(Fault.undefinedRealTime, this.offset, 1, byte, 0);
  }

  #newStatus(byte: number): void {
    if (byte === SYSEX_END && this.#status === SYSEX_OPEN) {
      this.#sysExByte(byte);
      this.#closeSysEx(SYSEX_LAST);
      this.#status = NO_STATUS;
      this.#explicit = false;
      return;
    }
    this.#cut(byte);
    this.#status = NO_STATUS;
    this.#have = 0;
    const isFirst = !this.#isBegun;
    this.#isBegun = true;
    if (UNDEFINED[byte] === 1) {
      this.#sink.fault(Fault.undefinedCommon, this.offset, 1, byte, 0);
    } else if (byte === SYSEX_END && isFirst) {
      this.#sink.rest?.(this.offset, byte);
    } else if (byte === SYSEX_END) {
      this.#sink.fault(Fault.strayEnd, this.offset, 1, byte, 0);
    } else {
      this.#open(byte);
    }
  }

  #open(byte: number): void {
    this.#status = byte;
    this.#begin = this.offset;
    this.#explicit = true;
    this.#wanted = DATA_BYTES[byte]!;
    if (byte === SYSEX_OPEN) {
      this.#part = SYSEX_FIRST;
      this.#sysExByte(byte);
    } else if (this.#wanted === 0) {
      this.#complete(0, 0);
    }
  }

  /** Reports what `byte` (or the end of the stream) leaves unfinished. */
  #cut(byte: number): void {
    if (this.#status === SYSEX_OPEN) {
      this.#closeSysEx(SYSEX_LAST | SYSEX_CUT);
      this.#sink.fault(Fault.sysExCut, this.#begin, byte === NO_STATUS ? 1 : 2, SYSEX_OPEN, byte);
    } else if (this.#explicit) {
      this.#sink.fault(
        Fault.truncated,
        this.#begin,
        1 + this.#have,
        this.#status,
        this.#have ? this.#data1 : 0,
      );
    } else if (this.#have > 0) {
      this.#sink.fault(Fault.truncated, this.#begin, 1, this.#data1, 0);
    }
    this.#explicit = false;
  }

  #sysExByte(byte: number): void {
    // A full piece waits for the byte after it, so that the last piece of a SysEx is never empty.
    if (this.#pieceLength === SYSEX_PIECE) this.#closeSysEx(0);
    this.#piece[this.#pieceLength] = byte;
    this.#pieceLength += 1;
  }

  #closeSysEx(ending: number): void {
    this.#sink.sysEx(this.#piece, this.#pieceLength, this.#part | ending);
    this.#pieceLength = 0;
    this.#part = 0;
  }
}
