import { isAscending, orderOf } from './ascending-order.ts';
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
const FEWEST_CANDIDATES = 4;
/** Of one stream: a million strikes of one key have fewer candidates each, and need no more room. */
const MOST_EDGES = 1 << 20;

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
  // Under most laws the order is that of the song already.
  const ours = noteStreams(written, isAscending(expected) ? undefined : orderOf(expected));
  const theirs = noteStreams(heard);
  let matched = 0;
  const aligner = new StreamAligner(expected, heard.micros, tolerance);
  for (let stream = 0; stream < STREAMS; stream += 1) {
    // Of two thousand streams a song has some dozens.
    if (lengthOf(ours, stream) === 0 || lengthOf(theirs, stream) === 0) continue;
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
    const length = lengthOf(ours, stream);
    if (length === 0 || length !== lengthOf(theirs, stream)) continue;
    const a = slice(ours, stream);
    const b = slice(theirs, stream);
    for (let n = 0; n < length; n += 1) {
      heardOf[a[n]!] = b[n]!;
      writtenOf[b[n]!] = a[n]!;
    }
    matched += length;
  }
  return { heardOf, writtenOf, matched };
}

function lengthOf({ start }: NoteStreams, stream: number): number {
  return start[stream + 1]! - start[stream]!;
}

function slice({ start, notes }: NoteStreams, stream: number): Uint32Array {
  return notes.subarray(start[stream]!, start[stream + 1]!);
}

class StreamAligner {
  /** Fenwick tree over places in the heard stream: the best sum that ends at or before a place, and its edge. */
  #best = new Float64Array(64);
  #bestEdge = new Int32Array(64);
  /** The sum that `#bestBefore` found. */
  #sum = 0;
  #edges = edges(256);

  readonly #expected: Float64Array;
  readonly #heardAt: Float64Array;
  readonly #tolerance: number;

  constructor(expected: Float64Array, heardAt: Float64Array, tolerance: number) {
    this.#expected = expected;
    this.#heardAt = heardAt;
    this.#tolerance = tolerance;
  }

  align(ours: Uint32Array, theirs: Uint32Array, heardOf: Int32Array, writtenOf: Int32Array): number {
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
    const candidates = Math.max(
      FEWEST_CANDIDATES,
      Math.min(MOST_CANDIDATES, theirs.length, Math.floor(MOST_EDGES / ours.length)),
    );
    const most = ours.length * candidates;
    if (this.#edges.written.length < most) this.#edges = edges(most);
    const { written, heard, before } = this.#edges;
    let count = 0;
    let first = 0;
    let near = 0;
    let end = 0;
    for (const note of ours) {
      const at = expected[note]!;
      while (first < theirs.length && heardAt[theirs[first]!]! < at - tolerance) first += 1;
      while (near < theirs.length && heardAt[theirs[near]!]! < at) near += 1;
      while (end < theirs.length && heardAt[theirs[end]!]! <= at + tolerance) end += 1;
      // The nearest ones only.
      const isMany = end - first > candidates;
      const from = isMany ? Math.max(first, near - (candidates >> 1)) : first;
      const high = isMany ? Math.min(end, from + candidates) : end;
      // From the last back, so that no two edges of one written note follow each other.
      for (let place = high - 1; place >= from; place -= 1) {
        const gain = tolerance - Math.abs(heardAt[theirs[place]!]! - at);
        if (gain <= 0) continue;
        before[count] = this.#bestBefore(place);
        written[count] = note;
        heard[count] = theirs[place]!;
        this.#put(place, this.#sum + gain + tolerance * 0.001, count, theirs.length);
        count += 1;
      }
    }
    return this.#bestBefore(theirs.length);
  }

  /** @returns the edge of the best sum that ends before a place, −1 for none; the sum is left in `#sum` */
  #bestBefore(place: number): number {
    let edge = -1;
    this.#sum = 0;
    for (let at = place; at > 0; at -= at & -at) {
      if (this.#best[at]! > this.#sum) {
        this.#sum = this.#best[at]!;
        edge = this.#bestEdge[at]!;
      }
    }
    return edge;
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

/** Pairs that could be, and for each the one before it in the best sequence that ends with it. */
function edges(length: number) {
  return {
    written: new Uint32Array(length),
    heard: new Uint32Array(length),
    before: new Int32Array(length),
  };
}
