import { firstNotBefore } from '../timeline/sorted-values.ts';
import { bytesOfSysEx, type HeardSysEx } from './heard-music.ts';
import type { SysExPlace } from './sysex-places.ts';
import type { WrittenSysEx } from './written-sysex.ts';

const NONE = -1;

/** Which heard SysEx is which written one: for each written one its number, −1 for none, and the other way round. */
export interface SysExPairs {
  readonly heardOf: Int32Array;
  readonly writtenOf: Int32Array;
}

/**
 * Pairs those of equal bytes, each kind of content by itself: in order where as many came as are written, otherwise where each
 * has its place among the notes; what is left over between two pairs came at another place.
 */
export function pairEqualSysEx(
  written: readonly WrittenSysEx[],
  places: readonly SysExPlace[],
  heard: HeardSysEx,
): SysExPairs {
  const heardOf = new Int32Array(written.length).fill(NONE);
  const writtenOf = new Int32Array(heard.count).fill(NONE);
  const pair = (ours: number, theirs: number) => {
    heardOf[ours] = theirs;
    writtenOf[theirs] = ours;
  };
  for (const { ours, theirs } of byContent(written, heard)) {
    if (ours.length === theirs.length) {
      for (const [n, one] of ours.entries()) pair(one, theirs[n]!);
      continue;
    }
    let next = 0;
    for (const one of ours) {
      const { part, after, before } = places[one]!;
      // So far from all that was heard that no note says where it belongs: it takes none away from those that were listened to.
      if (part === 'outside' && after < 0 && before === Number.POSITIVE_INFINITY) continue;
      while (heard.message[theirs[next]!]! < after) next += 1;
      if (next === theirs.length) break;
      if (heard.message[theirs[next]!]! > before) continue;
      pair(one, theirs[next]!);
      next += 1;
    }
    pairBetween(ours, theirs, places, { heardOf, writtenOf }, pair);
  }
  return { heardOf, writtenOf };
}

/** Pairs in order what two pairs have between them. */
function pairBetween(
  ours: readonly number[],
  theirs: readonly number[],
  places: readonly SysExPlace[],
  { heardOf, writtenOf }: SysExPairs,
  pair: (ours: number, theirs: number) => void,
): void {
  let next = 0;
  for (const one of ours) {
    if (heardOf[one]! >= 0) {
      next = theirs.indexOf(heardOf[one]!, next) + 1;
    } else if (places[one]!.part !== 'outside' && next < theirs.length && writtenOf[theirs[next]!]! < 0) {
      pair(one, theirs[next]!);
      next += 1;
    }
  }
}

function byContent(written: readonly WrittenSysEx[], heard: HeardSysEx) {
  const contents = new Map<string, { readonly ours: number[]; readonly theirs: number[] }>();
  for (const [n, { bytes }] of written.entries()) {
    const text = bytes.join();
    const found = contents.get(text);
    if (found === undefined) contents.set(text, { ours: [n], theirs: [] });
    else found.ours.push(n);
  }
  for (let n = 0; n < heard.count && contents.size > 0; n += 1)
    contents.get(bytesOfSysEx(heard, n).join())?.theirs.push(n);
  return contents.values();
}

/** Of what may be one that was changed so many are held against it, of so many that stand there. */
const MOST_TRIED = 16;
const MOST_LOOKED_AT = 1024;

/** The one at the same place that is likest to a written one, at least by half; −1 for none. */
export function likestSysEx(
  { bytes }: WrittenSysEx,
  { after, before }: SysExPlace,
  heard: HeardSysEx,
  isOpen: (n: number) => boolean,
): number {
  let best = NONE;
  let most = 0.5;
  let tried = 0;
  const from = firstNotBefore(heard.message, after);
  const to = Math.min(heard.count, from + MOST_LOOKED_AT);
  for (let n = from; n < to && heard.message[n]! <= before && tried < MOST_TRIED; n += 1) {
    if (!isOpen(n)) continue;
    tried += 1;
    const theirs = bytesOfSysEx(heard, n);
    const change = changeIn(bytes, theirs);
    const other = Math.max(change.oursTo, change.theirsTo) - change.from;
    const alike = 1 - other / Math.max(bytes.length, theirs.length);
    if (alike < most) continue;
    if (alike === most && best !== NONE) continue;
    best = n;
    most = alike;
  }
  return best;
}

/** The shortest stretch in which two differ: from where, and to before where of each. */
export function changeIn(ours: Uint8Array, theirs: Uint8Array) {
  const shorter = Math.min(ours.length, theirs.length);
  let from = 0;
  while (from < shorter && ours[from] === theirs[from]) from += 1;
  let end = 0;
  while (end < shorter - from && ours[ours.length - 1 - end] === theirs[theirs.length - 1 - end]) end += 1;
  return { from, oursTo: ours.length - end, theirsTo: theirs.length - end };
}
