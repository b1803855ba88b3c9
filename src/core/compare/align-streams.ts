import type { HeardNotes } from './heard-music.ts';
import { type NoteStreams, noteStreams, STREAMS } from './note-streams.ts';
import type { WrittenMusic } from './written-music.ts';

/** Which heard note is which written one; −1: none. */
export interface Matching {
  /** [written] */
  readonly heardOf: Int32Array;
  /** [heard] */
  readonly writtenOf: Int32Array;
  readonly matched: number;
}

/** Candidates of one written note that are looked at; more lie within the tolerance only in a trill of one key. */
const MOST_CANDIDATES = 24;

/**
 * Matches each stream by itself, in order and without crossings, so that the sum of closeness is greatest: a heaviest
 * increasing sequence over all pairs within the tolerance, exact but for `MOST_CANDIDATES`.
 * @param expected when each written note is expected (µs of the recording)
 * @param tolerance microseconds to either side
 */
export function alignStreams(
  written: WrittenMusic,
  heard: HeardNotes,
  expected: Float64Array,
  tolerance: number,
): Matching {
  const heardOf = new Int32Array(written.count).fill(-1);
  const writtenOf = new Int32Array(heard.count).fill(-1);
  const order = Uint32Array.from({ length: written.count }, (_, note) => note);
  // Under most laws the order is that of the song already.
  if (!isAscending(expected)) order.sort((a, b) => expected[a]! - expected[b]! || a - b);
  const ours = noteStreams(written, order);
  const theirs = noteStreams(heard);
  let matched = 0;
  const aligner = new StreamAligner(expected, heard.micros, tolerance);
  for (let stream = 0; stream < STREAMS; stream += 1) {
    matched += aligner.align(slice(ours, stream), slice(theirs, stream), heardOf, writtenOf);
  }
  return { heardOf, writtenOf, matched };
}

/**
 * The pairs of streams that have as many notes heard as written: no alignment is needed to know those.
 * @param order of the written notes, where it is another than the song's
 */
export function pairEqualStreams(written: WrittenMusic, heard: HeardNotes, order?: Uint32Array): Matching {
  const heardOf = new Int32Array(written.count).fill(-1);
  const writtenOf = new Int32Array(heard.count).fill(-1);
  const ours = noteStreams(written, order);
  const theirs = noteStreams(heard);
  let matched = 0;
  for (let stream = 0; stream < STREAMS; stream += 1) {
    const a = slice(ours, stream);
    const b = slice(theirs, stream);
    if (a.length !== b.length) continue;
    for (let n = 0; n < a.length; n += 1) {
      heardOf[a[n]!] = b[n]!;
      writtenOf[b[n]!] = a[n]!;
    }
    matched += a.length;
  }
  return { heardOf, writtenOf, matched };
}

function slice({ start, notes }: NoteStreams, stream: number): Uint32Array {
  return notes.subarray(start[stream]!, start[stream + 1]!);
}

function isAscending(values: Float64Array): boolean {
  for (let n = 1; n < values.length; n += 1) if (values[n]! < values[n - 1]!) return false;
  return true;
}

class StreamAligner {
  /** Fenwick tree over places in the heard stream: the best sum that ends at or before a place, and its edge. */
  #best = new Float64Array(64);
  #bestEdge = new Int32Array(64);
  readonly #edges = { written: growing(), heard: growing(), before: growing() };

  readonly #expected: Float64Array;
  readonly #heardAt: Float64Array;
  readonly #tolerance: number;

  constructor(expected: Float64Array, heardAt: Float64Array, tolerance: number) {
    this.#expected = expected;
    this.#heardAt = heardAt;
    this.#tolerance = tolerance;
  }

  align(ours: Uint32Array, theirs: Uint32Array, heardOf: Int32Array, writtenOf: Int32Array): number {
    if (ours.length === 0 || theirs.length === 0) return 0;
    if (ours.length === theirs.length && this.#isClose(ours, theirs)) {
      for (let n = 0; n < ours.length; n += 1) {
        heardOf[ours[n]!] = theirs[n]!;
        writtenOf[theirs[n]!] = ours[n]!;
      }
      return ours.length;
    }
    let edge = this.#heaviest(ours, theirs);
    let matched = 0;
    for (; edge >= 0; edge = this.#edges.before[edge]!) {
      heardOf[this.#edges.written[edge]!] = this.#edges.heard[edge]!;
      writtenOf[this.#edges.heard[edge]!] = this.#edges.written[edge]!;
      matched += 1;
    }
    return matched;
  }

  /** One by one within a quarter of the tolerance: nothing else can be better. */
  #isClose(ours: Uint32Array, theirs: Uint32Array): boolean {
    for (let n = 0; n < ours.length; n += 1) {
      if (Math.abs(this.#expected[ours[n]!]! - this.#heardAt[theirs[n]!]!) > this.#tolerance / 4)
        return false;
    }
    return true;
  }

  /** @returns the last edge of the heaviest sequence, −1 for none */
  #heaviest(ours: Uint32Array, theirs: Uint32Array): number {
    const expected = this.#expected;
    const heardAt = this.#heardAt;
    const tolerance = this.#tolerance;
    const size = theirs.length + 1;
    if (this.#best.length < size) {
      this.#best = new Float64Array(2 * size);
      this.#bestEdge = new Int32Array(2 * size);
    }
    this.#best.fill(0, 0, size);
    this.#bestEdge.fill(-1, 0, size);
    const { written, heard, before } = this.#edges;
    written.length = 0;
    heard.length = 0;
    before.length = 0;
    const sums: number[] = [];
    let low = 0;
    for (const note of ours) {
      const at = expected[note]!;
      while (low < theirs.length && heardAt[theirs[low]!]! < at - tolerance) low += 1;
      let high = low;
      while (high < theirs.length && heardAt[theirs[high]!]! <= at + tolerance) high += 1;
      let from = low;
      if (high - from > MOST_CANDIDATES) {
        // The nearest ones only.
        let near = from;
        while (near < high && heardAt[theirs[near]!]! < at) near += 1;
        from = Math.max(low, near - MOST_CANDIDATES / 2);
        high = Math.min(high, from + MOST_CANDIDATES);
      }
      // From the last back, so that no two edges of one written note follow each other.
      for (let place = high - 1; place >= from; place -= 1) {
        const gain = tolerance - Math.abs(heardAt[theirs[place]!]! - at);
        if (gain <= 0) continue;
        const [sum, edge] = this.#bestBefore(place);
        written.push(note);
        heard.push(theirs[place]!);
        before.push(edge);
        sums.push(sum + gain + tolerance * 0.001);
        this.#put(place, sums.at(-1)!, written.length - 1, theirs.length);
      }
    }
    return this.#bestBefore(theirs.length)[1];
  }

  #bestBefore(place: number): readonly [sum: number, edge: number] {
    let sum = 0;
    let edge = -1;
    for (let at = place; at > 0; at -= at & -at) {
      if (this.#best[at]! > sum) {
        sum = this.#best[at]!;
        edge = this.#bestEdge[at]!;
      }
    }
    return [sum, edge];
  }

  #put(place: number, sum: number, edge: number, size: number): void {
    for (let at = place + 1; at <= size; at += at & -at) {
      if (sum > this.#best[at]!) {
        this.#best[at] = sum;
        this.#bestEdge[at] = edge;
      }
    }
  }
}

const growing = (): number[] => [];
