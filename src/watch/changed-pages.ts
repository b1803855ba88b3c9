/** Bytes compared and sent at a time. */
const PAGE = 256;
const HEAD = 4;

/** Finds what has changed in shared memory since it was last asked. One for each who watches. */
export class ChangedPages {
  readonly #now: Buffer;
  readonly #sent: Buffer;
  #isFirst = true;

  constructor(buffer: SharedArrayBuffer) {
    this.#now = Buffer.from(buffer);
    this.#sent = Buffer.alloc(buffer.byteLength);
  }

  /** Entries of `u32 page · its bytes` for each page that is not as it was; undefined where none is. */
  take(): Buffer | undefined {
    const parts: Buffer[] = [];
    for (let start = 0, page = 0; start < this.#now.length; start += PAGE, page += 1) {
      const end = Math.min(start + PAGE, this.#now.length);
      if (!this.#isFirst && this.#now.compare(this.#sent, start, end, start, end) === 0) continue;
      // Copied once, then looked at no more: another thread is writing there.
      this.#now.copy(this.#sent, start, start, end);
      const entry = Buffer.alloc(HEAD + end - start);
      entry.writeUInt32LE(page, 0);
      this.#sent.copy(entry, HEAD, start, end);
      parts.push(entry);
    }
    this.#isFirst = false;
    return parts.length === 0 ? undefined : Buffer.concat(parts);
  }
}

/** Puts changed pages into another memory of the same size. What cannot belong there is left out. */
export function applyPages(pages: Uint8Array, into: SharedArrayBuffer): void {
  const bytes = new Uint8Array(into);
  const view = new DataView(pages.buffer, pages.byteOffset, pages.byteLength);
  // Byte by byte: a view of each page would be some hundreds of them a second.
  for (let at = 0; at + HEAD <= pages.length; ) {
    const start = view.getUint32(at, true) * PAGE;
    const length = Math.min(PAGE, bytes.length - start, pages.length - at - HEAD);
    if (length <= 0) return;
    const from = at + HEAD;
    for (let byte = 0; byte < length; byte += 1) bytes[start + byte] = pages[from + byte]!;
    at += HEAD + length;
  }
}
