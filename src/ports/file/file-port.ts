import {
  closeSync,
  constants,
  existsSync,
  fstatSync,
  ftruncateSync,
  openSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { MIDI_WIRE, type WireTraits } from '../../core/wire/wire-traits.ts';
import { diskPath } from '../../files/disk-path.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST, type WriteOutcome } from '../output-port.ts';

/**
 * Writes what was sent, with its time, as text: one line a message (docs/file-port.md).
 *
 *   # wirepit file port 1; baud 31250; run time of the first byte in microseconds, then the bytes in hex
 *   0 B0 79 00
 *   500000.5 90 3C 40
 *
 * Lines gather in a buffer made once; `flush` (the sending thread calls it when there is time) writes it out,
 * and so does a buffer that runs full. A port that was sent nothing leaves nothing behind: an older file stays as
 * it was, and no new one is left.
 */
export class FilePort implements OutputPort {
  readonly name: string;
  readonly wire: WireTraits;
  readonly #buffer = Buffer.allocUnsafeSlow(BUFFER_BYTES).fill(0);
  #used: number;
  /** Undefined once it is closed. */
  #fd: number | undefined;
  readonly #path: string;
  readonly #wasThere: boolean;
  readonly #headLength: number;
  /** An older file was emptied: from here on it is ours. */
  #begun = false;

  /** Opens the file without changing it. Throws what `openSync` throws; `openOutput` makes a refusal of it. */
  constructor(path: string, wire: WireTraits = MIDI_WIRE) {
    this.name = `file:${path}`;
    this.wire = wire;
    this.#path = path;
    this.#wasThere = existsSync(diskPath(path));
    this.#fd = openSync(diskPath(path), constants.O_WRONLY | constants.O_CREAT, 0o666);
    const head = `# wirepit file port 1; baud ${wire.baud}; run time of the first byte in microseconds, then the bytes in hex\n`;
    this.#headLength = this.#buffer.write(head, 0, 'latin1');
    this.#used = this.#headLength;
  }

  write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (this.#fd === undefined) return WRITE_LOST;
    // A whole line or none, unless it is longer than the buffer.
    const line = Math.min(LONGEST_NUMBER + 3 * length, BUFFER_BYTES);
    if (this.#used + line > BUFFER_BYTES && !this.flush()) return WRITE_LOST;
    this.#number(at);
    for (let i = 0; i < length; i += 1) {
      if (this.#used + 4 > BUFFER_BYTES && !this.flush()) return WRITE_LOST;
      const byte = bytes[start + i]!;
      this.#buffer[this.#used] = SPACE;
      this.#buffer[this.#used + 1] = HEX[byte >> 4]!;
      this.#buffer[this.#used + 2] = HEX[byte & 15]!;
      this.#used += 3;
    }
    this.#buffer[this.#used] = NEWLINE;
    this.#used += 1;
    return WRITE_DONE;
  }

  flush(): boolean {
    if (this.#fd === undefined) return false;
    if (this.#isUnused()) return true;
    let done = 0;
    try {
      if (!this.#begun) this.#begin();
      while (done < this.#used) done += writeSync(this.#fd, this.#buffer, done, this.#used - done);
    } catch {
      // The disk is full or gone: what is left stays, and `write` says so once the buffer is full as well.
    }
    this.#buffer.copyWithin(0, done, this.#used);
    this.#used -= done;
    return this.#used === 0;
  }

  /** After a full disk: true once the rest of the buffer could be written. */
  revive(): boolean {
    return this.flush();
  }

  close(): void {
    if (this.#fd === undefined) return;
    this.flush();
    try {
      closeSync(this.#fd);
    } catch {
      // nothing left to free
    }
    this.#fd = undefined;
    if (this.#isUnused() && !this.#wasThere) this.#remove();
    this.#used = 0;
  }

  /** Nothing but the heading is there, and that not in the file. */
  #isUnused(): boolean {
    return !this.#begun && this.#used === this.#headLength;
  }

  #begin(): void {
    if (fstatSync(this.#fd!).isFile()) ftruncateSync(this.#fd!);
    this.#begun = true;
  }

  #remove(): void {
    try {
      unlinkSync(diskPath(this.#path));
    } catch {
      // somebody else was quicker
    }
  }

  /** Microseconds in decimal, with one place after the point when there is one: no string is made. */
  #number(at: Float64Array): void {
    let tenths = Math.round(Math.max(0, at[0]!) * 10);
    const fraction = tenths % 10;
    tenths = (tenths - fraction) / 10;
    let end = this.#used + 1;
    for (let rest = tenths; rest >= 10; rest = Math.floor(rest / 10)) end += 1;
    let place = end;
    do {
      place -= 1;
      this.#buffer[place] = ZERO + (tenths % 10);
      tenths = Math.floor(tenths / 10);
    } while (place > this.#used);
    this.#used = end;
    if (fraction === 0) return;
    this.#buffer[end] = POINT;
    this.#buffer[end + 1] = ZERO + fraction;
    this.#used = end + 2;
  }
}

const BUFFER_BYTES = 65_536;
const LONGEST_NUMBER = 24;
const SPACE = 0x20;
const NEWLINE = 0x0a;
const POINT = 0x2e;
const ZERO = 0x30;
const HEX = new TextEncoder().encode('0123456789ABCDEF');
