/**
 * A running record as a Standard MIDI File (SMF 1.1), format 0, that reproduces the times: 10,000 ticks a
 * quarter note at the file's 120 BPM make a tick of 50 µs, and the tempo is written out. Encoded piece by
 * piece, so that the file on disk is whole after every piece: see `files/`.
 */
export const RECORD_TICKS_PER_QUARTER = 10_000;
export const RECORD_TICK_MICROS = 50;
/** Where the track's 32-bit length stands in the file, and where the track's events begin. */
export const TRACK_LENGTH_AT = 18;
export const TRACK_AT = 22;
/** Delta 0, meta 2F, length 0: closes the track after every piece, and is overwritten by the next. */
export const END_OF_TRACK = Uint8Array.of(0x00, 0xff, 0x2f, 0x00);

/** The file up to the first recorded message, end of track included. `name` becomes the track's name. */
export function smfRecordHead(name: string): Uint8Array {
  const text = latin1(name).slice(0, 127);
  const events = [0x00, 0xff, 0x03, text.length, ...text, 0x00, 0xff, 0x51, 0x03, 0x07, 0xa1, 0x20];
  const length = events.length + END_OF_TRACK.length;
  // biome-ignore format: one line a chunk
  return Uint8Array.from([
    ...latin1('MThd'), 0, 0, 0, 6, 0, 0, 0, 1, RECORD_TICKS_PER_QUARTER >> 8, RECORD_TICKS_PER_QUARTER & 0xff,
    ...latin1('MTrk'), 0, 0, length >> 8, length & 0xff,
    ...events, ...END_OF_TRACK,
  ]);
}

/** Encodes messages as track events with delta times. Times must not go back; one that does is taken as 0. */
export class SmfRecordEncoder {
  #bytes = new Uint8Array(4096);
  #length = 0;
  #tick = 0;

  /** @param bytes a whole message: status and data, or SysEx from F0 to F7 */
  message(micros: number, bytes: Uint8Array): void {
    this.#delta(micros);
    const status = bytes[0]!;
    if (status < 0xf0) {
      this.#put(bytes, 0);
    } else if (status === 0xf0) {
      // F0, length, and the bytes after the F0 (section 2.3).
      this.#byte(0xf0);
      this.#variable(bytes.length - 1);
      this.#put(bytes, 1);
    } else {
      // Everything else on the wire goes in as an escape: F7, length, bytes (section 2.3).
      this.#byte(0xf7);
      this.#variable(bytes.length);
      this.#put(bytes, 0);
    }
  }

  /** What was encoded since the last call. The array is a copy. */
  take(): Uint8Array {
    const taken = this.#bytes.slice(0, this.#length);
    this.#length = 0;
    return taken;
  }

  #delta(micros: number): void {
    const tick = Math.max(this.#tick, Math.round(micros / RECORD_TICK_MICROS));
    let delta = tick - this.#tick;
    this.#tick = tick;
    // A delta holds 28 bits: almost four hours. Empty texts bridge a longer silence.
    for (; delta > LARGEST_DELTA; delta -= LARGEST_DELTA) {
      this.#variable(LARGEST_DELTA);
      this.#put(EMPTY_TEXT, 0);
    }
    this.#variable(delta);
  }

  #variable(value: number): void {
    for (let shift = 21; shift > 0; shift -= 7) {
      if (value >= 2 ** shift) this.#byte(((value >> shift) & 0x7f) | 0x80);
    }
    this.#byte(value & 0x7f);
  }

  #put(bytes: Uint8Array, from: number): void {
    this.#reserve(bytes.length);
    for (let at = from; at < bytes.length; at += 1) this.#bytes[this.#length++] = bytes[at]!;
  }

  #byte(byte: number): void {
    this.#reserve(1);
    this.#bytes[this.#length++] = byte;
  }

  #reserve(count: number): void {
    if (this.#length + count <= this.#bytes.length) return;
    const larger = new Uint8Array(Math.max(2 * this.#bytes.length, this.#length + count));
    larger.set(this.#bytes);
    this.#bytes = larger;
  }
}

const LARGEST_DELTA = 0x0fff_ffff;
const EMPTY_TEXT = Uint8Array.of(0xff, 0x01, 0x00);

function latin1(text: string): number[] {
  return [...text].map((letter) => (letter.charCodeAt(0) < 0x7f ? letter.charCodeAt(0) : 0x3f));
}
