/**
 * Which heard byte is which sent one. Bytes that agree are taken as they come; at a difference the stretch ahead is
 * aligned by least cost (a byte lost and one added cost as much as one with six bits changed), up to where eight agree
 * again; and after a longer loss a run of eight that occurs once in what was sent finds the place.
 * Time grows with the lengths, memory is fixed but for the answer.
 *
 * @returns [sent] place of the heard byte, −1 where it is lost; heard bytes that are nobody's were added
 */
export function alignBytes(sent: Uint8Array, heard: Uint8Array): Int32Array {
  const heardOf = new Int32Array(sent.length).fill(-1);
  const window = new Window();
  let grams: Map<number, number> | undefined;
  let i = 0;
  let j = 0;
  while (i < sent.length && j < heard.length) {
    if (sent[i] === heard[j]) {
      heardOf[i] = j;
      i += 1;
      j += 1;
      continue;
    }
    const step = window.align(sent, i, heard, j, heardOf);
    if (step.isSure) {
      i += step.sent;
      j += step.heard;
      continue;
    }
    grams ??= gramsOf(sent);
    const jump = jumpFrom(sent, i, heard, j, grams);
    if (jump !== undefined) {
      heardOf.fill(-1, i, jump.sent);
      i = jump.sent;
      j = jump.heard;
      continue;
    }
    // Nothing is found again: what the window has is as good as anything.
    i += step.sent;
    j += step.heard;
  }
  return heardOf;
}

const SPAN = 96;
const SURE = 8;
/** How far ahead a run is looked for: a heard stretch of noise longer than this ends the search for this time. */
const FURTHEST = 4096;
const INDEL = 8;

/** [256] cost of taking one byte for another, by what is different: 10 and one for each bit. */
const CHANGE_COST = Uint8Array.from({ length: 256 }, (_, bits) => (bits === 0 ? 0 : 10 + bitsIn(bits)));

export function bitsIn(value: number): number {
  let count = 0;
  for (let rest = value; rest !== 0; rest &= rest - 1) count += 1;
  return count;
}

interface Stretch {
  readonly sent: number;
  readonly heard: number;
  /** Eight agree at its end, or all but a few have their place. */
  readonly isSure: boolean;
}

class Window {
  readonly #cost = new Uint16Array((SPAN + 1) * (SPAN + 1));
  readonly #path: number[] = [];

  /** Aligns what lies ahead and writes the pairs of it that are to be kept. */
  align(sent: Uint8Array, i: number, heard: Uint8Array, j: number, heardOf: Int32Array): Stretch {
    const rows = Math.min(SPAN, sent.length - i);
    const columns = Math.min(SPAN, heard.length - j);
    const cost = this.#cost;
    const wide = columns + 1;
    for (let column = 0; column <= columns; column += 1) cost[column] = column * INDEL;
    for (let row = 1; row <= rows; row += 1) {
      cost[row * wide] = row * INDEL;
      const byte = sent[i + row - 1]!;
      for (let column = 1; column <= columns; column += 1) {
        const at = row * wide + column;
        const diagonal = cost[at - wide - 1]! + CHANGE_COST[byte ^ heard[j + column - 1]!]!;
        const indel = Math.min(cost[at - wide]!, cost[at - 1]!) + INDEL;
        cost[at] = Math.min(diagonal, indel);
      }
    }
    const isLast = i + rows === sent.length && j + columns === heard.length;
    const end = isLast ? rows * wide + columns : this.#cheapestEdge(rows, columns);
    const path = this.#trace(end, wide, sent, i, heard, j);
    return this.#keep(path, wide, sent, i, heard, j, heardOf, isLast);
  }

  /** Where one of the two is used up at least cost a byte; what is left of the other lies beyond the window. */
  #cheapestEdge(rows: number, columns: number): number {
    const wide = columns + 1;
    let best = rows * wide + columns;
    let least = Number.POSITIVE_INFINITY;
    const look = (row: number, column: number): void => {
      const each = (this.#cost[row * wide + column]! + 1) / (row + column);
      if (each < least) {
        least = each;
        best = row * wide + column;
      }
    };
    for (let column = columns >> 2; column <= columns; column += 1) look(rows, column);
    for (let row = rows >> 2; row <= rows; row += 1) look(row, columns);
    return best;
  }

  /** Cells from the beginning to `end`. */
  #trace(end: number, wide: number, sent: Uint8Array, i: number, heard: Uint8Array, j: number): number[] {
    const path = this.#path;
    path.length = 0;
    let at = end;
    while (at > 0) {
      path.push(at);
      const row = Math.floor(at / wide);
      const column = at % wide;
      const change =
        row > 0 && column > 0 ? CHANGE_COST[sent[i + row - 1]! ^ heard[j + column - 1]!]! : Number.NaN;
      if (this.#cost[at - wide - 1]! + change === this.#cost[at]) at -= wide + 1;
      else if (row > 0 && this.#cost[at - wide]! + INDEL === this.#cost[at]) at -= wide;
      else at -= 1;
    }
    path.push(0);
    return path.reverse();
  }

  #keep(
    path: readonly number[],
    wide: number,
    sent: Uint8Array,
    i: number,
    heard: Uint8Array,
    j: number,
    heardOf: Int32Array,
    isLast: boolean,
  ): Stretch {
    let agree = 0;
    let equal = 0;
    let end = 0;
    for (let step = 1; step < path.length; step += 1) {
      const at = path[step]!;
      end = at;
      const isPair = at - path[step - 1]! === wide + 1;
      const row = Math.floor(at / wide);
      const column = at % wide;
      if (isPair) heardOf[i + row - 1] = j + column - 1;
      const isEqual = isPair && sent[i + row - 1] === heard[j + column - 1];
      agree = isEqual ? agree + 1 : 0;
      if (isEqual) equal += 1;
      if (agree === SURE) return { sent: row, heard: column, isSure: true };
      // What is near the edge might be read another way with more to be seen.
      if (isEqual && !isLast && step > path.length >> 1) break;
    }
    const [rows, columns] = [Math.floor(end / wide), end % wide];
    // All that is left of one of the two is in its place, if not in runs: every message comes twice, say.
    return { sent: rows, heard: columns, isSure: isLast || equal >= PLAIN_SHARE * Math.min(rows, columns) };
  }
}

const PLAIN_SHARE = 0.85;
const MODULUS = 0x1_0000_0000;

function gramAt(bytes: Uint8Array, at: number): number {
  let low = 0;
  let high = 0;
  for (let n = 0; n < SURE; n += 1) {
    low = (Math.imul(low, 31) + bytes[at + n]!) >>> 0;
    high = (Math.imul(high, 16_777_619) ^ bytes[at + n]!) >>> 0;
  }
  return (high & 0xfffff) * MODULUS + low;
}

/** Runs of eight that occur once, by where; −1 for those that occur again. */
function gramsOf(sent: Uint8Array): Map<number, number> {
  const grams = new Map<number, number>();
  for (let at = 0; at + SURE <= sent.length; at += 1) {
    const gram = gramAt(sent, at);
    grams.set(gram, grams.has(gram) ? -1 : at);
  }
  return grams;
}

function jumpFrom(
  sent: Uint8Array,
  i: number,
  heard: Uint8Array,
  j: number,
  grams: Map<number, number>,
): { readonly sent: number; readonly heard: number } | undefined {
  const last = Math.min(heard.length - SURE, j + FURTHEST);
  for (let at = j; at <= last; at += 1) {
    const place = grams.get(gramAt(heard, at)) ?? -1;
    if (place < i) continue;
    let agree = 0;
    while (agree < SURE && sent[place + agree] === heard[at + agree]) agree += 1;
    if (agree === SURE) return { sent: place, heard: at };
  }
  return undefined;
}
