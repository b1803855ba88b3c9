import {
  BlockAt,
  blockBytes,
  decodeTapeBlock,
  isWholeBlock,
  TAPE_SYNC,
  type TapeBlock,
} from './tape-block.ts';
import type { TapeBytes } from './tape-bytes.ts';

/** One reading of a block, whole or hit. */
interface BlockCopy {
  readonly bytes: Uint8Array;
  /** 1 for each byte that was read clearly. */
  readonly clear: Uint8Array;
}

export interface TapeReading {
  /** By number, ascending; whole ones only. */
  readonly blocks: readonly TapeBlock[];
  /** As the blocks say; undefined where none was whole. */
  readonly total: number | undefined;
  /** Numbers, head (0) included, that no pass has whole. */
  readonly missing: readonly number[];
  /** How many of `blocks` no single pass had whole: put together from several. */
  readonly joined: number;
  /** Numbers of which there are two whole blocks that differ: more than one song is in these recordings. */
  readonly twofold: readonly number[];
  /** Whole blocks passed over, since they say that there are another number of blocks. */
  readonly others: number;
}

/**
 * Reads blocks from one or several passes over the same tape. Passes are joined block by block; and a block that
 * every pass has hit somewhere is put together from the bytes that were clear in one or another, when its CRC agrees.
 */
export function readTapePasses(passes: readonly TapeBytes[]): TapeReading {
  const copies = new Map<number, BlockCopy[]>();
  for (const pass of passes) {
    for (const copy of copiesIn(pass)) {
      const number = copy.bytes[BlockAt.number]!;
      copies.set(number, [...(copies.get(number) ?? []), copy]);
    }
  }
  const wholeOf = new Map([...copies].map(([number, all]) => [number, all.filter(isWhole)]));
  // A number that was misread must not count: only what the whole blocks agree on is a total.
  const total = mostFrequent([...wholeOf.values()].flat().map(({ bytes }) => bytes[BlockAt.total]!));
  const blocks = new Map<number, TapeBlock>();
  const twofold: number[] = [];
  const torn: (readonly [number, readonly BlockCopy[]])[] = [];
  let others = 0;
  for (const [number, all] of copies) {
    const ours = wholeOf.get(number)!.filter(({ bytes }) => bytes[BlockAt.total] === total);
    others += wholeOf.get(number)!.length - ours.length;
    const [whole] = ours;
    if (whole === undefined) torn.push([number, all]);
    else blocks.set(number, decodeTapeBlock(whole.bytes));
    if (ours.some(({ bytes }) => isAnother(bytes, whole!.bytes))) twofold.push(number);
  }
  let joined = 0;
  for (const [number, all] of torn) {
    const mended = joinCopies(all);
    if (mended === undefined || (total !== undefined && (number > total || mended.total !== total))) continue;
    blocks.set(number, mended);
    joined += 1;
  }
  const known = total ?? mostFrequent([...blocks.values()].map((block) => block.total));
  const kept = [...blocks.values()].filter((block) => block.total === known);
  const numbers = new Set(kept.map((block) => block.number));
  const missing = known === undefined ? [] : range(known + 1).filter((number) => !numbers.has(number));
  return {
    blocks: kept.sort((a, b) => a.number - b.number),
    total: known,
    missing,
    joined,
    twofold: twofold.sort((a, b) => a - b),
    others,
  };
}

const isWhole = ({ bytes }: BlockCopy) => isWholeBlock(bytes);

const isAnother = (one: Uint8Array, other: Uint8Array) => one.some((byte, at) => byte !== other[at]);

/** Every place where a block begins, and as many bytes as it says it has. */
function* copiesIn({ values, clear }: TapeBytes): Generator<BlockCopy> {
  for (let at = 0; at + BlockAt.data < values.length; at += 1) {
    if (values[at] !== TAPE_SYNC[0] || values[at + 1] !== TAPE_SYNC[1]) continue;
    const end = at + blockBytes(values[at + BlockAt.length]!);
    const head = clear.subarray(at + BlockAt.number, at + BlockAt.data);
    if (end > values.length || values[at + BlockAt.length] === 0 || head.includes(0)) continue;
    const bytes = values.slice(at, end);
    yield { bytes, clear: clear.slice(at, end) };
    if (isWholeBlock(bytes)) at = end - 1;
  }
}

/** Places at which clear readings may differ before the choice among them means nothing beside a 16-bit CRC. */
const MOST_DOUBTS = 4;

function joinCopies(all: readonly BlockCopy[]): TapeBlock | undefined {
  const length = mostFrequent(all.map(({ bytes }) => bytes.length));
  const alike = all.filter(({ bytes }) => bytes.length === length);
  if (alike.length < 2) return undefined;
  const bytes = alike[0]!.bytes.slice();
  const doubts: { readonly at: number; readonly values: readonly number[] }[] = [];
  for (let at = 0; at < bytes.length; at += 1) {
    const values = [...new Set(alike.filter(({ clear }) => clear[at]).map((copy) => copy.bytes[at]!))];
    if (values.length === 0) return undefined;
    bytes[at] = values[0]!;
    if (values.length > 1) doubts.push({ at, values });
  }
  if (doubts.length > MOST_DOUBTS) return undefined;
  return tryDoubts(bytes, doubts, 0) ? decodeTapeBlock(bytes) : undefined;
}

function tryDoubts(
  bytes: Uint8Array,
  doubts: readonly { readonly at: number; readonly values: readonly number[] }[],
  from: number,
): boolean {
  const doubt = doubts[from];
  if (doubt === undefined) return isWholeBlock(bytes);
  return doubt.values.some((value) => {
    bytes[doubt.at] = value;
    return tryDoubts(bytes, doubts, from + 1);
  });
}

function mostFrequent(values: readonly number[]): number | undefined {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0];
}

function range(count: number): number[] {
  return Array.from({ length: count }, (_, n) => n);
}
