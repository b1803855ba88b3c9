/** Rows waiting, the one with the largest key on top; of equal keys the later row. Binary heap in an array. */
export class RowHeap {
  readonly #key: Float64Array;
  readonly #rows: number[] = [];

  constructor(key: Float64Array) {
    this.#key = key;
  }

  get size(): number {
    return this.#rows.length;
  }

  /** The row with the largest key. Only while `size` is not 0. */
  get top(): number {
    return this.#rows[0]!;
  }

  push(row: number): void {
    const rows = this.#rows;
    let at = rows.length;
    rows.push(row);
    while (at > 0) {
      const above = (at - 1) >> 1;
      if (!this.#isAbove(row, rows[above]!)) break;
      rows[at] = rows[above]!;
      at = above;
    }
    rows[at] = row;
  }

  pop(): void {
    const rows = this.#rows;
    const row = rows.pop()!;
    if (rows.length === 0) return;
    let at = 0;
    for (;;) {
      let below = 2 * at + 1;
      if (below >= rows.length) break;
      if (below + 1 < rows.length && this.#isAbove(rows[below + 1]!, rows[below]!)) below += 1;
      if (!this.#isAbove(rows[below]!, row)) break;
      rows[at] = rows[below]!;
      at = below;
    }
    rows[at] = row;
  }

  #isAbove(row: number, other: number): boolean {
    const a = this.#key[row]!;
    const b = this.#key[other]!;
    return a > b || (a === b && row > other);
  }
}
