const NOT_SENT = 0xffff;
/** Epochs per key before the marks of that key must be wiped; the one above would collide with NOT_SENT. */
const LAST_EPOCH = 510;

/**
 * Which notes were really sent and not yet released, and as which key: transposition may change while they
 * sound. A note-off goes out only for a note-on that did, and to its key.
 *
 *   strikes  u16 [2048]  strikes sounding, by channel and sent key
 *   sent     u16 [rows]  for each note-on row of the timeline `epoch << 7 | sent key`, or NOT_SENT
 *   epoch    u16 [2048]  by channel and sent key; counts silences, so that a row struck before one is void
 */
export class Sounding {
  readonly strikes = new Uint16Array(2048);
  /** [16] strikes on each channel. */
  readonly onChannel = new Uint32Array(16);
  readonly #epoch = new Uint16Array(2048);
  readonly #sent: Uint16Array;
  readonly #status: Uint8Array;

  /** @param status the timeline's status column */
  constructor(status: Uint8Array) {
    this.#status = status;
    this.#sent = new Uint16Array(status.length).fill(NOT_SENT);
  }

  strike(row: number, channel: number, key: number): void {
    this.#sent[row] = (this.#epoch[channel * 128 + key]! << 7) | key;
    this.strikeKey(channel, key);
  }

  /** A strike that is not in the song. */
  strikeKey(channel: number, key: number): void {
    this.strikes[channel * 128 + key]! += 1;
    this.onChannel[channel]! += 1;
  }

  /** The note-on in this row was held back. */
  withhold(row: number): void {
    this.#sent[row] = NOT_SENT;
  }

  /** Key to release for the note-on in this row, now counted as released; or −1 when there is none. */
  release(row: number, channel: number): number {
    const mark = this.#sent[row]!;
    if (mark === NOT_SENT) return -1;
    this.#sent[row] = NOT_SENT;
    const key = mark & 127;
    if (mark >> 7 !== this.#epoch[channel * 128 + key]!) return -1;
    this.releaseKey(channel, key);
    return key;
  }

  releaseKey(channel: number, key: number): void {
    const cell = channel * 128 + key;
    if (this.strikes[cell] === 0) return;
    this.strikes[cell]! -= 1;
    this.onChannel[channel]! -= 1;
  }

  /** Every strike on a key was ended: note-offs of the song that were theirs are void from now on. */
  clearKey(channel: number, key: number): void {
    const cell = channel * 128 + key;
    this.onChannel[channel]! -= this.strikes[cell]!;
    this.strikes[cell] = 0;
    if (this.#epoch[cell] === LAST_EPOCH) this.#wipe(channel, key);
    else this.#epoch[cell]! += 1;
  }

  #wipe(channel: number, key: number): void {
    for (let row = 0; row < this.#sent.length; row += 1) {
      if ((this.#sent[row]! & 127) === key && (this.#status[row]! & 0x0f) === channel)
        this.#sent[row] = NOT_SENT;
    }
    this.#epoch[channel * 128 + key] = 0;
  }
}
