import { NodeHeap } from './node-heap.ts';

/** What a part plays without a rest. Times in microseconds; `until` is after `from`. */
export interface PartPiece {
  readonly part: number;
  readonly from: number;
  readonly until: number;
  readonly worth: number;
}

export interface ServedPieces {
  /** [pieces] */
  readonly isServed: readonly boolean[];
  /** [pieces] the place that serves it has served its part's piece before it as well, and did nothing in between. */
  readonly goesOn: readonly boolean[];
}

const NONE = -1;
const SOURCE = 0;

/**
 * Which pieces to serve with so many places, so that most is served: the exact optimum, as a flow of least cost
 * (successive shortest paths: Ahuja, Magnanti, Orlin, "Network Flows", 1993, chapter 9.7). A place may leave a part
 * after each piece and take another up before each, when it has been idle for so long; it stays with a part at no
 * price. Pieces of one part do not overlap.
 * @param pieces in order of time
 * @param restMicros a place is idle before it takes a part up @param setUp what taking a part up costs, in worth
 */
export function servedPieces(
  pieces: readonly PartPiece[],
  places: number,
  restMicros: number,
  setUp: number,
): ServedPieces {
  const flow = new PartFlow(pieces, restMicros, setUp);
  for (let place = 0; place < places && flow.send(); place += 1);
  return {
    isServed: pieces.map((_, piece) => flow.isUsed(piece)),
    goesOn: pieces.map((_, piece) => flow.isJoined(piece)),
  };
}

/**
 * Nodes: the line of idle places, one for each moment at which one comes or goes; then a beginning and an end for
 * each piece. Arcs come in pairs, there (even) and back (odd).
 */
class PartFlow {
  readonly #target: number;
  readonly #firstPiece: number;
  readonly #price: Float64Array;
  readonly #distance: Float64Array;
  readonly #by: Int32Array;
  readonly #head: Int32Array;
  readonly #to: number[] = [];
  readonly #room: number[] = [];
  readonly #cost: number[] = [];
  readonly #next: number[] = [];
  readonly #heap = new NodeHeap();
  /** [pieces] arc through it, and arc to it from the piece before. */
  readonly #through: number[] = [];
  readonly #joins: Int32Array;

  constructor(pieces: readonly PartPiece[], restMicros: number, setUp: number) {
    const moments = pieces.flatMap(({ from, until }) => [from - restMicros, until]);
    const times = Float64Array.from(new Set([Number.NEGATIVE_INFINITY, ...moments])).sort();
    this.#target = times.length - 1;
    this.#firstPiece = times.length;
    const nodes = times.length + 2 * pieces.length;
    this.#price = new Float64Array(nodes);
    this.#distance = new Float64Array(nodes);
    this.#by = new Int32Array(nodes);
    this.#head = new Int32Array(nodes).fill(NONE);
    this.#joins = new Int32Array(pieces.length).fill(NONE);
    const lineAt = new Map(Array.from(times, (time, line) => [time, line]));
    for (let line = 0; line < this.#target; line += 1) this.#arc(line, line + 1, pieces.length + 1, 0);
    const last = new Map<number, number>();
    for (const [piece, { part, from, until, worth }] of pieces.entries()) {
      const begin = this.#firstPiece + 2 * piece;
      this.#arc(lineAt.get(from - restMicros)!, begin, 1, setUp);
      const before = last.get(part);
      if (before !== undefined) {
        this.#joins[piece] = this.#arc(this.#firstPiece + 2 * before + 1, begin, 1, 0);
      }
      this.#through.push(this.#arc(begin, begin + 1, 1, -worth));
      this.#arc(begin + 1, lineAt.get(until)!, 1, 0);
      last.set(part, piece);
    }
    this.#firstPrices(pieces, times);
  }

  isUsed(piece: number): boolean {
    return this.#room[this.#through[piece]!] === 0;
  }

  isJoined(piece: number): boolean {
    return this.#joins[piece]! !== NONE && this.#room[this.#joins[piece]!] === 0;
  }

  /** One more place goes the way that gains most. @returns false where there is nothing left to gain */
  send(): boolean {
    this.#search();
    const gain = this.#price[SOURCE]! - this.#price[this.#target]! - this.#distance[this.#target]!;
    if (gain <= 0) return false;
    for (let node = this.#target; node !== SOURCE; ) {
      const arc = this.#by[node]!;
      this.#room[arc]! -= 1;
      this.#room[arc ^ 1]! += 1;
      node = this.#to[arc ^ 1]!;
    }
    for (const [node, distance] of this.#distance.entries()) {
      this.#price[node]! += Math.min(distance, this.#distance[this.#target]!);
    }
    return true;
  }

  #arc(from: number, to: number, room: number, cost: number): number {
    const arc = this.#to.length;
    for (const [tail, tip, free, price] of [
      [from, to, room, cost],
      [to, from, 0, -cost],
    ] as const) {
      this.#to.push(tip);
      this.#room.push(free);
      this.#cost.push(price);
      this.#next.push(this.#head[tail]!);
      this.#head[tail] = this.#to.length - 1;
    }
    return arc;
  }

  /** Least cost of each node while nothing flows: nodes in order of time, a piece's end before the line it comes back to. */
  #firstPrices(pieces: readonly PartPiece[], times: Float64Array): void {
    const price = this.#price.fill(Number.POSITIVE_INFINITY);
    price[SOURCE] = 0;
    const begins = pieces.map(({ from }, piece) => ({
      time: from,
      rank: 2,
      node: this.#firstPiece + 2 * piece,
    }));
    const ends = begins.map(({ node }, piece) => ({ time: pieces[piece]!.until, rank: 0, node: node + 1 }));
    const lines = Array.from(times, (time, node) => ({ time, rank: 1, node }));
    for (const { node } of [...begins, ...ends, ...lines].sort(
      (a, b) => a.time - b.time || a.rank - b.rank,
    )) {
      for (let arc = this.#head[node]!; arc !== NONE; arc = this.#next[arc]!) {
        const to = this.#to[arc]!;
        if (this.#room[arc]! > 0) price[to] = Math.min(price[to]!, price[node]! + this.#cost[arc]!);
      }
    }
  }

  #search(): void {
    const [distance, price, heap] = [this.#distance.fill(Number.POSITIVE_INFINITY), this.#price, this.#heap];
    heap.clear();
    distance[SOURCE] = 0;
    heap.add(0, SOURCE);
    while (heap.size > 0) {
      const near = heap.nearest;
      const node = heap.take();
      if (near > distance[node]!) continue;
      if (node === this.#target) break;
      for (let arc = this.#head[node]!; arc !== NONE; arc = this.#next[arc]!) {
        if (this.#room[arc] === 0) continue;
        const to = this.#to[arc]!;
        // Rounding may leave a hair below nothing.
        const further = near + Math.max(0, this.#cost[arc]! + price[node]! - price[to]!);
        if (further >= distance[to]!) continue;
        distance[to] = further;
        this.#by[to] = arc;
        heap.add(further, to);
      }
    }
  }
}
