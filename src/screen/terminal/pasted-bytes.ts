/** Longest paste that is kept, in bytes; the rest is dropped. */
const PASTE_LIMIT = 4096;

/** What comes between the marks of a bracketed paste (xterm: ESC [ 200 ~ and ESC [ 201 ~). */
export class PastedBytes {
  readonly #kept: number[] = [];
  /** How much of the end mark has come. */
  #matched = 0;

  /** Takes the next byte; true when it was the last one of the end mark. */
  isEnd(byte: number): boolean {
    this.#matched = byte === END[this.#matched] ? this.#matched + 1 : byte === END[0] ? 1 : 0;
    if (this.#kept.length < PASTE_LIMIT + END.length) this.#kept.push(byte);
    if (this.#matched < END.length) return false;
    if (this.#kept.length < PASTE_LIMIT + END.length) this.#kept.length -= END.length;
    return true;
  }

  text(): string {
    return Buffer.from(this.#kept.slice(0, PASTE_LIMIT)).toString('utf8');
  }
}

const END = Buffer.from('\u001b[201~');
