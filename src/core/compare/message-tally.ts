/** Values that a data byte has. */
const VALUES = 128;

/** How often each message occurs. */
export class MessageTally {
  count = 0;
  /** By status, where it occurs, and first data byte, where that does: [128] by the second. */
  readonly #counts = new Map<number, (number[] | undefined)[]>();

  add(status: number, data1: number, data2: number): void {
    let counts = this.#counts.get(status);
    if (counts === undefined) {
      counts = new Array<number[] | undefined>(VALUES);
      this.#counts.set(status, counts);
    }
    counts[data1] ??= new Array<number>(VALUES).fill(0);
    counts[data1][data2]! += 1;
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
      for (const [data1, counted] of ours.entries()) {
        const others = theirs[data1];
        if (counted === undefined || others === undefined) continue;
        for (let data2 = 0; data2 < VALUES; data2 += 1) sum += Math.min(counted[data2]!, others[data2]!);
      }
    }
    return sum;
  }
}

function isRelease(status: number, velocity: number): boolean {
  return (status & 0xf0) === 0x80 || ((status & 0xf0) === 0x90 && velocity === 0);
}
