type Column = Uint8Array<ArrayBuffer> | Uint32Array<ArrayBuffer> | Float64Array<ArrayBuffer>;

const BITS = 14;
const BLOCK = 1 << BITS;
/** Most columns stay short, and many are made: twenty of them each time a recording is looked at while it comes in. */
const FIRST = 64;

/**
 * A column of numbers whose length nobody knows beforehand. Its first block doubles until it is as large as all others; behind
 * that nothing is copied while it grows. A number takes no more room than its kind needs.
 */
export class GrowingColumn<C extends Column> {
  length = 0;
  readonly #blocks: C[] = [];
  readonly #make: (length: number) => C;

  /** @param make a column of zeros of so many numbers */
  constructor(make: (length: number) => C) {
    this.#make = make;
  }

  push(value: number): void {
    const at = this.length & (BLOCK - 1);
    if (at === 0) this.#blocks.push(this.#make(this.length === 0 ? FIRST : BLOCK));
    let block = this.#blocks[this.#blocks.length - 1]!;
    if (at === block.length) {
      block = this.#make(2 * at);
      block.set(this.#blocks[0]!);
      this.#blocks[0] = block;
    }
    block[at] = value;
    this.length += 1;
  }

  /** @param place 0 … length − 1 */
  get(place: number): number {
    return this.#blocks[place >> BITS]![place & (BLOCK - 1)]!;
  }

  /** @param place 0 … length − 1 */
  set(place: number, value: number): void {
    this.#blocks[place >> BITS]![place & (BLOCK - 1)] = value;
  }

  /** What stands before a place may be given back; it must not be asked for again, nor `whole`. */
  forget(place: number): void {
    for (let n = (place >> BITS) - 1; n >= 0 && this.#blocks[n]!.length > 0; n -= 1)
      this.#blocks[n] = this.#make(0);
  }

  /** What is in it so far, in one piece. Whether a later `set` shows there is not said. */
  whole(): C {
    if (this.#blocks.length === 1) return this.#blocks[0]!.subarray(0, this.length) as C;
    const all = this.#make(this.#blocks.length * BLOCK);
    for (const [n, block] of this.#blocks.entries()) {
      all.set(block, n * BLOCK);
      this.#blocks[n] = all.subarray(n * BLOCK, (n + 1) * BLOCK) as C;
    }
    return all.subarray(0, this.length) as C;
  }
}

export const bytes = () => new GrowingColumn((length) => new Uint8Array(length));
export const counts = () => new GrowingColumn((length) => new Uint32Array(length));
export const numbers = () => new GrowingColumn((length) => new Float64Array(length));
