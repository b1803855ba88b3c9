/** Length: a flow and its search are one thing; its columns would otherwise be handed about in the hottest loop. */
import { NodeHeap } from './node-heap.ts';
import type { PlaceProblem } from './place-problem.ts';

const NONE = 0xffff_ffff;

/**
 * The flow behind `leastLoss`. Nodes: 0 … points are the moments between points, where idle places stand (`line`);
 * node points + 1 + p is "served through piece p". Arcs and what may be changed of them:
 *
 *   line t → line t + 1                     an idle place waits; always, and back while one waits there
 *   line t → piece p, p the first of one    taken up; back while it is kept
 *   piece p → piece p + 1                   goes on; back while it is kept
 *   piece p → line after it                 given up; back where what is kept ends with p
 *
 * Prices keep every changeable arc's cost + price of its tail − price of its head ≥ 0.
 */
export class PlaceFlow {
  /** [chains] pieces kept. */
  readonly kept: Uint32Array;
  /** [points] idle places while a point lasts. */
  readonly idle: Int32Array;
  readonly #problem: PlaceProblem;
  readonly #lines: number;
  readonly #price: Float64Array;
  readonly #distance: Float64Array;
  readonly #from: Uint32Array;
  /** Search in which a node was last reached. */
  readonly #reached: Uint32Array;
  readonly #settled: Uint32Array;
  /** Chain of each piece. */
  readonly #chain: Uint32Array;
  /** First chain that begins at a point or later. */
  readonly #begin: Uint32Array;
  /** Chains whose kept pieces end at a line node, as lists. */
  readonly #endHead: Uint32Array;
  readonly #endNext: Uint32Array;
  readonly #endBefore: Uint32Array;
  readonly #heap = new NodeHeap();
  /** Nodes as near as the one looked from: most of them, and they need no heap. */
  #near: Uint32Array;
  #nearCount = 0;
  #low = 0;
  #high = 0;
  #settledCount = 0;
  #search = 0;

  constructor(problem: PlaceProblem) {
    const { points, first, pieceStart, value } = problem;
    const chains = first.length;
    const nodes = points + 1 + value.length;
    this.#problem = problem;
    this.#lines = points + 1;
    this.kept = new Uint32Array(chains);
    this.idle = new Int32Array(points);
    this.#price = new Float64Array(nodes);
    this.#distance = new Float64Array(nodes);
    this.#from = new Uint32Array(nodes);
    this.#reached = new Uint32Array(nodes);
    this.#settled = new Uint32Array(nodes);
    this.#near = new Uint32Array(1024);
    this.#chain = new Uint32Array(value.length);
    this.#begin = new Uint32Array(points + 2);
    this.#endHead = new Uint32Array(points + 1).fill(NONE);
    this.#endNext = new Uint32Array(chains).fill(NONE);
    this.#endBefore = new Uint32Array(chains).fill(NONE);
    for (let chain = 0; chain < chains; chain += 1) {
      this.#chain.fill(chain, pieceStart[chain], pieceStart[chain + 1]);
      this.#begin[first[chain]! + 1]! += 1;
    }
    for (let point = 0; point <= points; point += 1) this.#begin[point + 1]! += this.#begin[point]!;
  }

  /**
   * A stretch is solved with so many places, from none up: each goes the way that gains most.
   * @param low first point of the stretch @param high the point after it; no chain crosses either
   */
  fill(low: number, high: number, places: number): void {
    this.#priceByGain(low, high);
    for (let place = 0; place < places; place += 1) this.#send(low, high, low, high);
  }

  /** The same from the other end: all is kept, with `needed` places, of which one after another is taken away. */
  drain(low: number, high: number, places: number, needed: number): void {
    const { first, pieceStart } = this.#problem;
    this.idle.fill(needed, low, high);
    for (let chain = this.#begin[low]!; chain < this.#begin[high]!; chain += 1) {
      const length = pieceStart[chain + 1]! - pieceStart[chain]!;
      for (let point = first[chain]!; point < first[chain]! + length; point += 1) this.idle[point]! -= 1;
      this.#keep(chain, length);
    }
    for (let place = needed; place > places; place -= 1) this.#send(high, low, low, high);
  }

  /** Finds the cheapest way from line to line in what may be changed, and changes it. */
  #send(start: number, target: number, low: number, high: number): void {
    const search = ++this.#search;
    const heap = this.#heap;
    heap.clear();
    this.#low = low;
    this.#high = high;
    this.#settledCount = 0;
    this.#distance[start] = 0;
    this.#reached[start] = search;
    this.#near[0] = start;
    this.#nearCount = 1;
    let near = 0;
    for (;;) {
      let node: number;
      if (this.#nearCount > 0) node = this.#near[--this.#nearCount]!;
      else {
        near = heap.nearest;
        node = heap.take();
      }
      if (near > this.#distance[node]!) continue;
      if (node === target) break;
      this.#settled[this.#settledCount++] = node;
      if (node < this.#lines) this.#lookFromLine(node, near);
      else this.#lookFromPiece(node - this.#lines, near);
    }
    this.#raisePrices(near);
    this.#change(start, target);
  }

  /** Prices of an empty stretch: what is gained at most on the way to a node. Chains come in order of time. */
  #priceByGain(low: number, high: number): void {
    const { first, pieceStart, value } = this.#problem;
    const price = this.#price;
    let line = low;
    for (let chain = this.#begin[low]!; chain < this.#begin[high]!; chain += 1) {
      for (; line < first[chain]!; line += 1) price[line + 1] = Math.min(price[line + 1]!, price[line]!);
      let at = price[line]!;
      for (
        let piece = pieceStart[chain]!, end = line + 1;
        piece < pieceStart[chain + 1]!;
        piece += 1, end += 1
      ) {
        at -= value[piece]!;
        price[this.#lines + piece] = at;
        if (at < price[end]!) price[end] = at;
      }
    }
    for (; line < high; line += 1) price[line + 1] = Math.min(price[line + 1]!, price[line]!);
  }

  #lookFromLine(line: number, near: number): void {
    const { pieceStart, value } = this.#problem;
    if (line < this.#high) {
      this.#reach(line + 1, line, near, 0);
      const end = this.#begin[line + 1]!;
      for (let chain = this.#begin[line]!; chain < end; chain += 1) {
        const piece = pieceStart[chain]!;
        if (this.kept[chain] === 0) this.#reach(this.#lines + piece, line, near, -value[piece]!);
      }
    }
    if (line > this.#low) {
      if (this.idle[line - 1]! > 0) this.#reach(line - 1, line, near, 0);
      for (let chain = this.#endHead[line]!; chain !== NONE; chain = this.#endNext[chain]!) {
        this.#reach(this.#lines + pieceStart[chain]! + this.kept[chain]! - 1, line, near, 0);
      }
    }
  }

  #lookFromPiece(piece: number, near: number): void {
    const { first, pieceStart, value } = this.#problem;
    const chain = this.#chain[piece]!;
    const step = piece - pieceStart[chain]!;
    const node = this.#lines + piece;
    this.#reach(first[chain]! + step + 1, node, near, 0);
    if (step < this.kept[chain]!) {
      this.#reach(step > 0 ? node - 1 : first[chain]!, node, near, value[piece]!);
    }
    if (step + 1 >= this.kept[chain]! && piece + 1 < pieceStart[chain + 1]!) {
      this.#reach(node + 1, node, near, -value[piece + 1]!);
    }
  }

  #reach(node: number, from: number, near: number, cost: number): void {
    // Rounding may leave a hair below nothing.
    const further = near + Math.max(0, cost + this.#price[from]! - this.#price[node]!);
    if (this.#reached[node] === this.#search && this.#distance[node]! <= further) return;
    this.#reached[node] = this.#search;
    this.#distance[node] = further;
    this.#from[node] = from;
    if (further > near) this.#heap.add(further, node);
    else this.#pushNear(node);
  }

  #pushNear(node: number): void {
    if (this.#nearCount === this.#near.length) {
      const near = new Uint32Array(this.#near.length * 2);
      near.set(this.#near);
      this.#near = near;
    }
    this.#near[this.#nearCount++] = node;
  }

  #raisePrices(most: number): void {
    for (let at = 0; at < this.#settledCount; at += 1) {
      const node = this.#settled[at]!;
      this.#price[node]! += this.#distance[node]! - most;
    }
  }

  /** Follows the way found back from its end; only what each chain keeps, and idle places, change. */
  #change(start: number, target: number): void {
    const { first, pieceStart } = this.#problem;
    for (let node = target; node !== start; ) {
      const from = this.#from[node]!;
      if (node < this.#lines && from < this.#lines) {
        if (from < node) this.idle[from]! += 1;
        else this.idle[node]! -= 1;
      } else if (node > from && node >= this.#lines) {
        // Taken up or gone on with; coming from the line at its end, a chain is only looked into from behind.
        const piece = node - this.#lines;
        const chain = this.#chain[piece]!;
        const pieces = piece - pieceStart[chain]! + 1;
        const goesOn = from >= this.#lines || from === first[chain];
        // Walking backwards, the furthest piece comes first.
        if (goesOn && this.kept[chain]! < pieces) this.#keep(chain, pieces);
      } else if (from >= this.#lines) this.#shorten(from - this.#lines, node);
      node = from;
    }
  }

  /** Backwards through a kept piece; leaving a chain for the line at its own end changes nothing. */
  #shorten(piece: number, to: number): void {
    const { first, pieceStart } = this.#problem;
    const chain = this.#chain[piece]!;
    const step = piece - pieceStart[chain]!;
    const isBack = to >= this.#lines || (step === 0 && to === first[chain]!);
    if (isBack && step < this.kept[chain]!) this.#keep(chain, step);
  }

  #keep(chain: number, pieces: number): void {
    const before = this.kept[chain]!;
    const first = this.#problem.first[chain]!;
    if (before > 0) this.#leaveList(chain, first + before);
    this.kept[chain] = pieces;
    if (pieces > 0) this.#joinList(chain, first + pieces);
  }

  #joinList(chain: number, line: number): void {
    const head = this.#endHead[line]!;
    this.#endNext[chain] = head;
    this.#endBefore[chain] = NONE;
    if (head !== NONE) this.#endBefore[head] = chain;
    this.#endHead[line] = chain;
  }

  #leaveList(chain: number, line: number): void {
    const next = this.#endNext[chain]!;
    const before = this.#endBefore[chain]!;
    if (before === NONE) this.#endHead[line] = next;
    else this.#endNext[before] = next;
    if (next !== NONE) this.#endBefore[next] = before;
  }
}
