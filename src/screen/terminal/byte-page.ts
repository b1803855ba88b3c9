/** Bytes written one after the other into one buffer that is used again and again; grows when it must. */
export class BytePage {
  #bytes = Buffer.allocUnsafe(16 * 1024);
  length = 0;

  clear(): void {
    this.length = 0;
  }

  /** What was written since the last `clear`; valid until the next one. */
  view(): Buffer {
    return this.#bytes.subarray(0, this.length);
  }

  byte(value: number): void {
    this.#room(1);
    this.#bytes[this.length++] = value;
  }

  /** ASCII only: control sequences. */
  ascii(text: string): void {
    this.#room(text.length);
    for (let at = 0; at < text.length; at += 1) this.#bytes[this.length++] = text.charCodeAt(at);
  }

  /** A number from 0 to 9999 in decimal. */
  decimal(value: number): void {
    if (value >= 1000) this.byte(0x30 + (Math.floor(value / 1000) % 10));
    if (value >= 100) this.byte(0x30 + (Math.floor(value / 100) % 10));
    if (value >= 10) this.byte(0x30 + (Math.floor(value / 10) % 10));
    this.byte(0x30 + (value % 10));
  }

  /** A code point in UTF-8 (RFC 3629, section 3). */
  codePoint(value: number): void {
    this.#room(4);
    const bytes = this.#bytes;
    if (value < 0x80) {
      bytes[this.length++] = value;
      return;
    }
    if (value < 0x800) {
      bytes[this.length++] = 0xc0 | (value >> 6);
    } else {
      if (value < 0x10000) {
        bytes[this.length++] = 0xe0 | (value >> 12);
      } else {
        bytes[this.length++] = 0xf0 | (value >> 18);
        bytes[this.length++] = 0x80 | ((value >> 12) & 0x3f);
      }
      bytes[this.length++] = 0x80 | ((value >> 6) & 0x3f);
    }
    bytes[this.length++] = 0x80 | (value & 0x3f);
  }

  #room(count: number): void {
    if (this.length + count <= this.#bytes.length) return;
    const grown = Buffer.allocUnsafe(this.#bytes.length * 2);
    this.#bytes.copy(grown, 0, 0, this.length);
    this.#bytes = grown;
  }
}
