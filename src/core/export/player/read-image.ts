import { CODE, FAR_CODES } from '../stream/code-table.ts';
import { crc16 } from '../tape/crc16.ts';
import { Clock6502 } from './6502-clock.ts';
import { FLAG, IMAGE_HEAD, IMAGE_MARK, IMAGE_VERSION, JUMP, UNIT_PARTS } from './image.ts';
import type { PlayerClock } from './player-clock.ts';
import { Z80Clock } from './z80-clock.ts';

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
  const firstReference = image[IMAGE_HEAD.firstReference]!;
  const firstNear = firstReference + FAR_CODES;
  const waits = word(IMAGE_HEAD.waits) - base;
  const statuses = word(IMAGE_HEAD.statuses) - base;
  const pairs = word(IMAGE_HEAD.pairs) - base;
  const slot = image[IMAGE_HEAD.slotUnits]!;
  const unitsPerSecond = word(IMAGE_HEAD.unitsPerSecond) + 0x1_0000 * byteAt(IMAGE_HEAD.unitsPerSecond + 2);
  const flags = image[IMAGE_HEAD.flags]!;
  const ready = (flags & FLAG.readyLow) !== 0 ? 'low' : (flags & FLAG.ready) !== 0 ? 'high' : 'none';
  const make = { slotUnits: slot, unitsPerSecond, ready, canStop: (flags & FLAG.stop) !== 0 } as const;
  const clock: PlayerClock =
    image[IMAGE_HEAD.jump] === JUMP['6502'] ? new Clock6502(make) : new Z80Clock(make);
  const bytes: number[] = [];
  const due: number[] = [];
  const sent: number[] = [];
  const stack: { at: number; left: number }[] = [];
  let at = word(IMAGE_HEAD.stream) - base;
  let left = 256;
  const wholeStep = word(IMAGE_HEAD.stepUnits);
  const stepPart = image[IMAGE_HEAD.stepPart]!;
  // The grid in whole units, and what it is ahead of them in parts of one.
  let ahead = 0;
  // The grid begins with the first byte, a slot behind the start.
  let grid = slot;
  let free = slot;
  let deepest = 0;
  const send = (byte: number) => {
    const dueAt = Math.max(grid, free);
    bytes.push(byte);
    due.push(dueAt);
    sent.push(clock.send());
    free = dueAt + slot;
  };
  const enter = (to: number, parts: number) => {
    stack.push({ at, left });
    deepest = Math.max(deepest, stack.length);
    at = to;
    left = parts;
  };
  const tick = () => {
    ahead += stepPart;
    const step = wholeStep + (ahead >= UNIT_PARTS ? 1 : 0);
    ahead %= UNIT_PARTS;
    grid += step;
    clock.tick(step);
  };
  /** The next byte of the source. */
  const next = (): number => {
    at += 1;
    if (((base + at) & 0xff) === 0) clock.page();
    return byteAt(at - 1);
  };
  for (let taken = 0; ; taken += 1) {
    const from = at;
    const code = next();
    if (outside !== undefined) return { kind: 'leaves-memory', address: base + outside };
    if (taken > MOST_STEPS || bytes.length > MOST_BYTES || deepest > MOST_DEEP)
      return { kind: 'endless', address: base + from };
    let entered = false;
    if (code < 0x80) send(code);
    else if (code >= firstReference) {
      entered = true;
      if (code >= firstNear) {
        const low = next();
        // The high byte of a distance below 0.
        enter(at + low + 0x100 * ((code >> 1) - 0x80), 2 + (code & 1));
        clock.take('shortReference');
      } else {
        const isLong = code === firstNear - 1;
        const parts = isLong ? next() : code - firstReference + 2;
        const low = next();
        const target = low | (next() << 8);
        enter(target - base, parts);
        clock.take(isLong ? 'longReference' : 'reference');
      }
    } else if (code >= firstStatus) {
      clock.take('status');
      send(byteAt(statuses + code - firstStatus));
    } else if (code >= firstPair) {
      entered = true;
      enter(pairs + 2 * (code - firstPair), 2);
      clock.take('pair');
    } else if (code === CODE.whole) {
      const byte = next();
      if (byte < 0x80) break;
      clock.take('whole');
      send(byte);
    } else {
      const isLong = code === CODE.longWait;
      const steps = isLong ? next() : byteAt(waits + code - CODE.firstWait);
      taken += steps;
      clock.take(isLong ? 'longWait' : 'wait');
      for (let count = 0; count < steps; count += 1) tick();
    }
    if (entered) continue;
    left -= 1;
    while (left === 0) {
      const outer = stack.pop();
      if (outer === undefined) {
        left = 256;
        clock.take('topEnd');
        break;
      }
      clock.take('levelEnd');
      at = outer.at;
      left = outer.left - 1;
    }
  }
  return {
    bytes: Uint8Array.from(bytes),
    dueUnits: Float64Array.from(due),
    sentUnits: Float64Array.from(sent),
    unitsPerSecond,
    slotUnits: slot,
    deepest,
  };
}
