/**
 * What a thread sleeps on that more than one other may wake: the first i32 of shared memory, counted up each time. It may
 * outlive the thread that sleeps.
 */
export class Wake {
  readonly buffer: SharedArrayBuffer;
  /** For `Atomics.wait`, at `SIGNAL`. */
  readonly cells: Int32Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(4)) {
    this.buffer = buffer;
    this.cells = new Int32Array(buffer, 0, 1);
  }

  wake(): void {
    Atomics.add(this.cells, SIGNAL, 1);
    Atomics.notify(this.cells, SIGNAL);
  }

  /** The count: taken before looking for work, so that what comes in between is never slept over. */
  signal(): number {
    return Atomics.load(this.cells, SIGNAL);
  }
}

export const SIGNAL = 0;
