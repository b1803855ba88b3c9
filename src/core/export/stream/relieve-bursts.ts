import type { Coding } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import { isPair } from './song-symbol.ts';
import type { ReferencedParts } from './stream-parts.ts';

/** A song as it was packed, and how late its player is with each byte. */
export interface TimedParts {
  readonly symbols: Int32Array;
  readonly parts: ReferencedParts;
  readonly coding: Coding;
  /** Byte by byte, in units of the player. */
  readonly lateUnits: Float64Array;
}

/**
 * Lowers the limits where a byte is later than `mostUnits`: in the bytes that made it late, those first that took most
 * of the time, each by one level, until so much is saved. A bar that is referred to is relieved where it stands.
 * @param levelUnits what entering a level costs
 * @returns whether there was anything left to lower
 */
export function relieveBursts(
  { symbols, parts, coding, lateUnits }: TimedParts,
  limits: LevelLimits,
  mostUnits: number,
  levelUnits: number,
): boolean {
  const gaps = gapsOf(parts, coding);
  const place = Int32Array.from(bytePlaces(symbols));
  let isLower = false;
  const lower = (at: number): boolean => {
    const [entered, left] = [gaps.entered[at]!, gaps.left[at]!];
    const entries = entered < 0 ? 0 : parts.entries[entered]!;
    const exits = left < 0 ? 0 : parts.exits[left]!;
    if (entries === 0 && exits === 0) return false;
    const isEntry = entries >= exits;
    const limit = isEntry ? limits.entered : limits.left;
    const where = parts.raw[isEntry ? entered : left + 1]!;
    limit[where] = Math.min(limit[where]!, (isEntry ? entries : exits) - 1);
    isLower = true;
    return true;
  };
  const overrun = (byte: number) => lateUnits[byte]! - (byte > 0 ? lateUnits[byte - 1]! : 0);
  for (let from = 0, to = from; from < lateUnits.length; from = to) {
    let latest = from;
    for (to = from + 1; lateUnits[to]! > 0; to += 1) if (lateUnits[to]! > lateUnits[latest]!) latest = to;
    let over = lateUnits[latest]! - mostUnits;
    const costly = Array.from({ length: latest - from + 1 }, (_, count) => from + count)
      .filter((byte) => overrun(byte) > 0)
      .sort((a, b) => overrun(b) - overrun(a));
    for (const byte of costly) {
      if (over <= 0) break;
      let saves = false;
      for (let at = byte > 0 ? place[byte - 1]! + 1 : 0; at <= place[byte]!; at += 1)
        saves = lower(at) || saves;
      if (saves) over -= Math.min(overrun(byte), levelUnits);
    }
  }
  return isLower;
}

function* bytePlaces(symbols: Int32Array): Generator<number> {
  for (const [at, symbol] of symbols.entries()) if (symbol < 0x100) yield at;
}

/**
 * For each plain symbol the outermost part that is entered, and the outermost that is left, right before it; −1: none.
 * Within a pair it is the pair: it can only be done without.
 */
function gapsOf({ symbol, source, length, count, raw }: ReferencedParts, coding: Coding): LevelParts {
  const entered = new Int32Array(raw[count]!);
  const left = new Int32Array(raw[count]!);
  let at = 0;
  let into = -1;
  let outOf = -1;
  const put = () => {
    entered[at] = into;
    left[at] = outOf;
    into = -1;
    outOf = -1;
    at += 1;
  };
  const play = (part: number): void => {
    const one = symbol[part]!;
    if (one >= 0 && !isPair(one)) {
      put();
      return;
    }
    if (into < 0) into = part;
    if (one < 0) for (let each = 0; each < length[part]!; each += 1) play(source[part]! + each);
    else
      for (let left = coding.phraseOf(one).symbols.length; left > 0; left -= 1) {
        put();
        if (left > 1) into = part;
      }
    outOf = part;
  };
  for (let part = 0; part < count; part += 1) play(part);
  return { entered, left };
}

interface LevelParts {
  readonly entered: Int32Array;
  readonly left: Int32Array;
}
