import { FLAG, IMAGE_HEAD, IMAGE_MARK } from './player/image.ts';

/** What the head of an image says beside the song. */
export interface ImageFacts {
  readonly cpu: 'z80' | '6502' | undefined;
  readonly loadAddress: number;
  readonly unitsPerSecond: number;
  readonly repeats: boolean;
}

/** First byte of an image: the jump of either instruction set. */
const JUMPS: Readonly<Record<number, 'z80' | '6502'>> = { 195: 'z80', 76: '6502' };

/** @param image one that `readImage` has read */
export function imageFacts(image: Uint8Array): ImageFacts {
  const word = (at: number) => image[at]! | (image[at + 1]! << 8);
  return {
    cpu: JUMPS[image[IMAGE_HEAD.jump]!],
    loadAddress: word(IMAGE_HEAD.loadAddress),
    unitsPerSecond: word(IMAGE_HEAD.unitsPerSecond) + 0x1_0000 * image[IMAGE_HEAD.unitsPerSecond + 2]!,
    repeats: (image[IMAGE_HEAD.flags]! & FLAG.repeat) !== 0,
  };
}

/** Whether a file begins as an image does, or as Intel HEX: no song file and hardly a recording begins so. */
export function looksPrepared(file: Uint8Array): boolean {
  if (looksLikeHex(file)) return true;
  const hasMark = IMAGE_MARK.every((mark, at) => file[IMAGE_HEAD.mark + at] === mark);
  return hasMark && JUMPS[file[IMAGE_HEAD.jump]!] !== undefined;
}

/** A colon and the hex digits of a length. */
export function looksLikeHex(file: Uint8Array): boolean {
  return /^\s*:[0-9A-Fa-f]{2}/.test(String.fromCharCode(...file.subarray(0, 8)));
}
