import { CODE } from '../stream/code-table.ts';
import { crc16 } from '../tape/crc16.ts';
import { IMAGE_HEAD, IMAGE_MARK, IMAGE_VERSION } from './image.ts';
import { Z80_PATHS as COST } from './z80-paths.ts';

/** A song as a player plays it, one entry a byte sent. Units from the start of the player's first fetch. */
export interface PlayedImage {
  readonly bytes: Uint8Array;
  /** When the byte should leave: at its grid step, or a slot after the one before. */
  readonly dueUnits: Float64Array;
  /** When it leaves, by the account of every path taken. */
  readonly sentUnits: Float64Array;
  readonly unitsPerSecond: number;
  readonly slotUnits: number;
  /** References within references at their deepest; each takes four bytes of stack. */
  readonly deepest: number;
}

export type ImageFault =
  | { readonly kind: 'no-image' }
  | { readonly kind: 'other-version'; readonly version: number }
  | { readonly kind: 'cut'; readonly bytes: number; readonly expected: number }
  | { readonly kind: 'checksum' }
  | { readonly kind: 'leaves-memory'; readonly address: number }
  /** References that lead into themselves, or a song that goes on for days. */
  | { readonly kind: 'endless'; readonly address: number };

/** Symbols and steps of the grid: hours of the finest grid, and of a full wire. A false stream might go on for ever. */
const MOST_STEPS = 40_000_000;
const MOST_BYTES = 8_000_000;
/** References and pairs in one another; the packer stays far below. */
const MOST_DEEP = 64;

/** Plays an image back without the machine, symbol by symbol as the player does. Pure. */
export function readImage(image: Uint8Array): PlayedImage | ImageFault {
  /** The first place outside of the image that was asked for. */
  let outside: number | undefined;
  const byteAt = (at: number): number => {
    const value = image[at];
    if (value === undefined) outside ??= at;
    return value ?? 0;
  };
  const word = (at: number) => byteAt(at) | (byteAt(at + 1) << 8);
  if (image.length < IMAGE_HEAD.size || IMAGE_MARK.some((mark, at) => image[IMAGE_HEAD.mark + at] !== mark))
    return { kind: 'no-image' };
  const version = image[IMAGE_HEAD.version]!;
  if (version !== IMAGE_VERSION) return { kind: 'other-version', version };
  const expected = word(IMAGE_HEAD.length);
  if (expected !== image.length) return { kind: 'cut', bytes: image.length, expected };
  const blank = image.slice();
  blank.fill(0, IMAGE_HEAD.checksum, IMAGE_HEAD.checksum + 2);
  if (crc16(blank) !== word(IMAGE_HEAD.checksum)) return { kind: 'checksum' };
  const base = word(IMAGE_HEAD.loadAddress);
  const firstStatus = image[IMAGE_HEAD.firstStatus]!;
  const firstPair = image[IMAGE_HEAD.firstPair]!;
  const waits = word(IMAGE_HEAD.waits) - base;
  const statuses = word(IMAGE_HEAD.statuses) - base;
  const pairs = word(IMAGE_HEAD.pairs) - base;
  const slot = word(IMAGE_HEAD.slotUnits);
  const bytes: number[] = [];
  const due: number[] = [];
  const sent: number[] = [];
  const stack: { at: number; left: number }[] = [];
  let at = word(IMAGE_HEAD.stream) - base;
  let left = 256;
  let now = 0;
  let account = 0;
  let debt = 0;
  let step = 0;
  let grid = 0;
  let free = 0;
  let deepest = 0;
  const spend = (units: number) => {
    now += units;
    account -= units;
  };
  const send = (byte: number) => {
    spend(COST.plain);
    if (account >= 0) {
      now += account + 1;
      account = -1;
    } else {
      now += COST.late;
      debt += COST.late - 1 - account;
      account = -1;
    }
    const dueAt = Math.max(grid, free);
    bytes.push(byte);
    due.push(dueAt);
    sent.push(now);
    free = dueAt + slot;
    account += slot;
    debt += slot;
  };
  const enter = (to: number, parts: number) => {
    stack.push({ at, left });
    deepest = Math.max(deepest, stack.length);
    at = to;
    left = parts;
  };
  /** One step of the grid; the account may be brought down to 255 here, never below. */
  const tick = () => {
    grid += step;
    debt -= step;
    if (debt >= 0) {
      spend(COST.tickOwing);
      return;
    }
    account -= debt;
    debt = 0;
    spend(COST.tick);
    if (account - 256 >= 0) {
      now += account - 256 + 1;
      account = 255;
    }
  };
  for (let taken = 0; ; taken += 1) {
    const code = byteAt(at);
    if (outside !== undefined) return { kind: 'leaves-memory', address: base + outside };
    if (taken > MOST_STEPS || bytes.length > MOST_BYTES || deepest > MOST_DEEP)
      return { kind: 'endless', address: base + at };
    at += 1;
    let entered = false;
    if (code < 0x80) send(code);
    else if (code >= CODE.references) {
      entered = true;
      if (code < 0xf0) {
        at += 1;
        enter(at + byteAt(at - 1) - 256, code - 0xde);
        spend(COST.shortReference);
      } else {
        const isLong = code === 0xff;
        const parts = isLong ? byteAt(at) : code - 0xed;
        const from = isLong ? at + 1 : at;
        at = from + 2;
        enter(word(from) - base, parts);
        spend(isLong ? COST.longReference : COST.reference);
      }
    } else if (code >= firstStatus) {
      spend(COST.status);
      send(byteAt(statuses + code - firstStatus));
    } else if (code >= firstPair) {
      entered = true;
      enter(pairs + 2 * (code - firstPair), 2);
      spend(COST.pair);
    } else if (code === CODE.tempo) {
      const value = word(at);
      at += 2;
      if (value === 0) break;
      step = 0x1_0000 - value;
      spend(COST.tempo);
    } else {
      const isLong = code === CODE.longWait;
      const steps = byteAt(isLong ? at : waits + code - CODE.firstWait);
      if (isLong) at += 1;
      taken += steps;
      spend(isLong ? COST.longWait : COST.wait);
      for (let count = 0; count < steps; count += 1) tick();
    }
    if (entered) continue;
    left -= 1;
    while (left === 0) {
      const outer = stack.pop();
      if (outer === undefined) {
        left = 256;
        spend(COST.topEnd);
        break;
      }
      spend(COST.levelEnd);
      at = outer.at;
      left = outer.left - 1;
    }
  }
  return {
    bytes: Uint8Array.from(bytes),
    dueUnits: Float64Array.from(due),
    sentUnits: Float64Array.from(sent),
    unitsPerSecond: word(IMAGE_HEAD.unitsPerSecond) + 0x1_0000 * word(IMAGE_HEAD.unitsPerSecond + 2),
    slotUnits: slot,
    deepest,
  };
}
