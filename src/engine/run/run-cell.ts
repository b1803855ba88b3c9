/**
 * What the two threads tell each other about the run itself, in one SharedArrayBuffer:
 *
 *   i32 [0] phase      RunPhase.*; the sending thread writes it, the main thread may sleep on it
 *   i32 [1] heartbeat  counted up by the main thread's event loop; see `HangWatch`
 *   i32 [2] asked      1 once the system was asked to favour the sending thread, whatever it said
 */
export class RunCell {
  readonly buffer: SharedArrayBuffer;
  readonly #cells: Int32Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(12)) {
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

  /** The system has been asked to favour the sending thread. */
  asked(): void {
    Atomics.store(this.#cells, ASKED, 1);
    Atomics.notify(this.#cells, ASKED);
  }

  /** Blocks this thread until the system has been asked, at most `limitMs`. */
  waitUntilAsked(limitMs: number): void {
    Atomics.wait(this.#cells, ASKED, 0, limitMs);
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
const ASKED = 2;
