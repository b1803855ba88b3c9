/** Places in `LoadWindow.numbers`. */
export const LoadAt = {
  /** Micros of the wire's work still in the ring. */
  busyMicros: 0,
  /** Share (0–1) of the window that ended with the latest message. */
  latest: 1,
  /** Highest share (0–1) of any window so far, and the end of that window. */
  peak: 2,
  peakEndMicros: 3,
} as const;

/**
 * The highest share of a window of time that the wire was busy, over every position of the window.
 *
 * Why looking only where a message ends is enough: slide the window by a little and the busy time in it grows
 * while the wire is busy at the right edge and idle at the left, and falls the other way round. So the largest
 * value is reached where business at the right edge stops: at the end of a message.
 *
 * Allocates nothing after construction.
 */
export class LoadWindow {
  readonly windowMicros: number;
  readonly #start: Float64Array;
  readonly #end: Float64Array;
  /** See `LoadAt`. A sending loop reads here: a getter's fractional number may be garbage. */
  readonly numbers = new Float64Array(4);
  /** Places of the oldest message that reaches into the window, and of the next one. */
  #first = 0;
  #next = 0;

  /** @param microsPerByte time of the shortest message: it bounds how many messages a window can hold */
  constructor(windowMicros: number, microsPerByte: number) {
    this.windowMicros = windowMicros;
    // A power of two, so that places in the ring wrap by a mask.
    const capacity = 2 ** Math.ceil(Math.log2(Math.ceil(windowMicros / microsPerByte) + 2));
    this.#start = new Float64Array(capacity);
    this.#end = new Float64Array(capacity);
  }

  /** Counts one message: `span[from]` is its start on the wire, `span[from + 1]` its end, never before the last. */
  add(span: Float64Array, from: number): void {
    const start = span[from]!;
    const end = span[from + 1]!;
    if (end <= start) return;
    const left = end - this.windowMicros;
    const numbers = this.numbers;
    const starts = this.#start;
    const ends = this.#end;
    const mask = starts.length - 1;
    const at = this.#next;
    this.#next = (at + 1) & mask;
    starts[at] = start;
    ends[at] = end;
    let first = this.#first;
    let busy = numbers[LoadAt.busyMicros]! + end - start;
    // At the latest the new message itself ends the walk.
    for (; ends[first]! <= left; first = (first + 1) & mask) busy -= ends[first]! - starts[first]!;
    this.#first = first;
    // Alone in the window: what rounding has left over goes.
    if (first === at) busy = end - start;
    numbers[LoadAt.busyMicros] = busy;
    const cutOff = Math.max(0, left - starts[first]!);
    const share = (busy - cutOff) / this.windowMicros;
    numbers[LoadAt.latest] = share;
    if (share > numbers[LoadAt.peak]!) {
      numbers[LoadAt.peak] = share;
      numbers[LoadAt.peakEndMicros] = end;
    }
  }

  get peak(): number {
    return this.numbers[LoadAt.peak]!;
  }

  get peakEndMicros(): number {
    return this.numbers[LoadAt.peakEndMicros]!;
  }
}
