import { hexText } from '../midi/hex-text.ts';
import { DATA_BYTES } from '../midi/status.ts';
import { FAULT_WORDS, REST_WORDS } from '../midi/stream-fault.ts';
import { StreamParser, SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../midi/stream-parser.ts';
import { RemarkLimit } from './remark-limit.ts';

/** Where whole messages go, in the order of their times. `bytes` is the receiver's to keep. */
export interface MessageTaker {
  message(micros: number, bytes: Uint8Array): void;
  /** Something about the stream that is not a message: a fault. Of many at once only how many (`RemarkLimit`). */
  remark(micros: number, text: string): void;
}

/** A SysEx beyond this is recorded up to here, with a remark. */
export const LONGEST_RECORDED_SYSEX = 1 << 20;
const UNENDED = 'SysEx that did not end with F7';

/**
 * Bytes of one wire, with their times → whole messages for a record: running status written out, SysEx in one
 * piece; each under the time of its first byte. Real-time messages that fell inside a SysEx follow it, since a song file has
 * no place inside (SMF 1.1, 2.3); their own times are kept.
 */
export class WholeMessages {
  readonly #parser: StreamParser;
  readonly #remarks: RemarkLimit;
  #micros = 0;
  /** Time of the first byte of the message being read, and whether the next byte begins one. */
  #begin = 0;
  #fresh = true;
  #sysEx: number[] = [];
  #sysExMicros = 0;
  #tooLong = false;
  #waiting: { micros: number; bytes: Uint8Array }[] = [];

  readonly #taker: MessageTaker;

  constructor(taker: MessageTaker) {
    this.#taker = taker;
    this.#remarks = new RemarkLimit((micros, text) => this.#taker.remark(micros, text));
    this.#parser = new StreamParser({
      message: (status, data1, data2) => this.#message(status, data1, data2),
      sysEx: (bytes, length, part) => this.#piece(bytes, length, part),
      fault: (kind, offset, count, byte1, byte2) => {
        // Whatever message comes next begins with a status, or goes on where an undefined byte fell into it.
        const bytes = hexText([byte1, byte2].slice(0, count));
        const words = FAULT_WORDS[kind]!;
        this.#remarks.remark(this.#micros, words, `byte ${offset}: ${words}: ${bytes}`);
      },
      rest: (offset, byte) => {
        const bytes = hexText([byte]);
        this.#remarks.remark(this.#micros, REST_WORDS, `byte ${offset}: ${REST_WORDS}: ${bytes}`);
      },
    });
  }

  /** @param micros run time of these bytes */
  feed(bytes: Uint8Array, start: number, end: number, micros: number): void {
    this.#micros = micros;
    this.#remarks.look(micros);
    for (let at = start; at < end; at += 1) {
      const byte = bytes[at]!;
      if (byte < 0xf8 && (byte >= 0x80 || this.#fresh)) {
        this.#begin = micros;
        this.#fresh = false;
      }
      this.#parser.feed(bytes, at, at + 1);
      // After the feeding: this F0 may have cut another SysEx, which has its own time.
      if (byte === 0xf0) this.#sysExMicros = micros;
    }
  }

  /** The stream has ended. */
  finish(): void {
    this.#parser.finish();
    this.#release();
    this.#remarks.tellRest();
  }

  #message(status: number, data1: number, data2: number): void {
    const bytes = Uint8Array.of(status, data1, data2).slice(0, 1 + DATA_BYTES[status]!);
    if (status < 0xf8) {
      this.#fresh = true;
      this.#taker.message(this.#begin, bytes);
    } else if (this.#parser.inSysEx) {
      this.#waiting.push({ micros: this.#micros, bytes });
    } else {
      this.#taker.message(this.#micros, bytes);
    }
  }

  #piece(bytes: Uint8Array, length: number, part: number): void {
    if ((part & SYSEX_FIRST) !== 0) {
      this.#sysEx = [];
      this.#tooLong = false;
    }
    if (this.#sysEx.length + length <= LONGEST_RECORDED_SYSEX) {
      for (let at = 0; at < length; at += 1) this.#sysEx.push(bytes[at]!);
    } else {
      this.#tooLong = true;
    }
    if ((part & SYSEX_LAST) === 0) return;
    this.#taker.message(this.#sysExMicros, Uint8Array.from(this.#sysEx));
    if (this.#tooLong)
      this.#taker.remark(this.#micros, `a SysEx longer than ${LONGEST_RECORDED_SYSEX} bytes was cut`);
    if ((part & SYSEX_CUT) !== 0)
      this.#remarks.remark(this.#micros, UNENDED, 'the SysEx before this did not end with F7');
    this.#release();
  }

  #release(): void {
    for (const { micros, bytes } of this.#waiting) this.#taker.message(micros, bytes);
    this.#waiting = [];
  }
}
