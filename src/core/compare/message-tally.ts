/** Values that two data bytes have. */
const PAIRS = 1 << 14;

/** How often each message occurs. */
export class MessageTally {
  count = 0;
  /** By status, where it occurs: [16384] by data bytes. */
  readonly #counts = new Map<number, Uint32Array>();

  add(status: number, data1: number, data2: number): void {
    let counts = this.#counts.get(status);
    if (counts === undefined) {
      counts = new Uint32Array(PAIRS);
      this.#counts.set(status, counts);
    }
    counts[(data1 << 7) | data2]! += 1;
    this.count += 1;
  }

  /** A release counts as a note-off of no velocity. */
  addChannel(status: number, data1: number, data2: number): void {
    if (isRelease(status, data2)) this.add(0x80 | (status & 15), data1, 0);
    else this.add(status, data1, data2);
  }

  /** Messages that both have. */
  shared(other: MessageTally): number {
    return this.#shared(other, () => true);
  }

  /** The same of messages with two data bytes. */
  sharedLong(other: MessageTally): number {
    return this.#shared(other, (status) => (status & 0xe0) !== 0xc0);
  }

  #shared(other: MessageTally, counts: (status: number) => boolean): number {
    let sum = 0;
    for (const [status, ours] of this.#counts) {
      const theirs = other.#counts.get(status);
      if (theirs === undefined || !counts(status)) continue;
      for (let pair = 0; pair < PAIRS; pair += 1) sum += Math.min(ours[pair]!, theirs[pair]!);
    }
    return sum;
  }
}

function isRelease(status: number, velocity: number): boolean {
  return (status & 0xf0) === 0x80 || ((status & 0xf0) === 0x90 && velocity === 0);
}
