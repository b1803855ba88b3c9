/**
 * What the two threads tell each other about the run itself, in one SharedArrayBuffer:
 *
 *   i32 [0] phase      RunPhase.*; the sending thread writes it, the main thread may sleep on it
 *   i32 [1] heartbeat  counted up by the main thread's event loop; see `HangWatch`
 */
export class RunCell {
  readonly buffer: SharedArrayBuffer;
  readonly #cells: Int32Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(8)) {
    this.buffer = buffer;
    this.#cells = new Int32Array(buffer);
  }

  get phase(): number {
    return Atomics.load(this.#cells, PHASE);
  }

  set phase(phase: number) {
    Atomics.store(this.#cells, PHASE, phase);
    Atomics.notify(this.#cells, PHASE);
  }

  beat(): void {
    Atomics.add(this.#cells, HEARTBEAT, 1);
  }

  get heartbeat(): number {
    return Atomics.load(this.#cells, HEARTBEAT);
  }

  /** Blocks this thread until the run is over, at most `limitMs`. True when it is over. */
  waitUntilOver(limitMs: number): boolean {
    const until = performance.now() + limitMs;
    for (;;) {
      const phase = this.phase;
      if (phase === RunPhase.over) return true;
      const left = until - performance.now();
      if (left <= 0) return false;
      Atomics.wait(this.#cells, PHASE, phase, left);
    }
  }
}

export const RunPhase = { starting: 0, running: 1, over: 2 } as const;

const PHASE = 0;
const HEARTBEAT = 1;
