/** How often each message occurs. */
export class MessageTally {
  count = 0;
  readonly #counts = new Map<number, number>();

  add(status: number, data1: number, data2: number): void {
    const message = (status << 14) | (data1 << 7) | data2;
    this.#counts.set(message, (this.#counts.get(message) ?? 0) + 1);
    this.count += 1;
  }

  /** Messages that both have. */
  shared(other: MessageTally): number {
    let sum = 0;
    for (const [message, count] of this.#counts) sum += Math.min(count, other.#counts.get(message) ?? 0);
    return sum;
  }

  /** The same of messages with two data bytes. */
  sharedLong(other: MessageTally): number {
    let sum = 0;
    for (const [message, count] of this.#counts) {
      if (((message >> 14) & 0xe0) !== 0xc0) sum += Math.min(count, other.#counts.get(message) ?? 0);
    }
    return sum;
  }
}
