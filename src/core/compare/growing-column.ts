type Column = Uint8Array<ArrayBuffer> | Uint32Array<ArrayBuffer> | Float64Array<ArrayBuffer>;

const BITS = 14;
const BLOCK = 1 << BITS;

/**
 * A column of numbers whose length nobody knows beforehand. It grows by blocks, so that nothing is copied while it
 * does, and a number takes no more room than its kind needs.
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
    if (at === 0) this.#blocks.push(this.#make(BLOCK));
    this.#blocks[this.#blocks.length - 1]![at] = value;
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

  /** What is in it so far, in one piece, which is from then on its own memory: a later `set` shows there. */
  whole(): C {
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
