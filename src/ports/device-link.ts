/**
 * What the thread that opens and watches a device tells the thread that writes to it, through shared memory:
 *
 *   i32 [0] present     1 while the device is open and set up, 0 while it is gone
 *   i32 [1] generation  counts the openings: another number means another opening
 *   i32 [2] gone        the writer sets it to the generation it saw fail, so that the watcher looks at once
 *
 * The writer opens the device for itself by its path (a descriptor's number handed over could by then belong
 * to another file).
 */
export class DeviceLink {
  readonly buffer: SharedArrayBuffer;
  readonly #cells: Int32Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(12)) {
    this.buffer = buffer;
    this.#cells = new Int32Array(buffer);
  }

  get present(): boolean {
    return Atomics.load(this.#cells, PRESENT) === 1;
  }

  get generation(): number {
    return Atomics.load(this.#cells, GENERATION);
  }

  /** Watcher: the device is open. */
  opened(): void {
    Atomics.add(this.#cells, GENERATION, 1);
    Atomics.store(this.#cells, PRESENT, 1);
  }

  /** Watcher: the device is gone. */
  lost(): void {
    Atomics.store(this.#cells, PRESENT, 0);
  }

  /** Writer: a write failed. */
  reportGone(): void {
    Atomics.store(this.#cells, GONE, this.generation);
  }

  /** Watcher: whether the writer saw the present opening fail. */
  get reportedGone(): boolean {
    return this.present && Atomics.load(this.#cells, GONE) === this.generation;
  }
}

const PRESENT = 0;
const GENERATION = 1;
const GONE = 2;
