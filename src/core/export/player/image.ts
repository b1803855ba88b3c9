/**
 * The head of what is loaded: where things are, so that a reader needs nothing else. All words low byte first.
 * docs/stream.md has the table. The first three bytes jump to the player in either instruction set.
 */
export const IMAGE_HEAD = {
  jump: 0,
  mark: 3,
  version: 5,
  length: 6,
  checksum: 8,
  waits: 10,
  statuses: 12,
  pairs: 14,
  stream: 16,
  firstStatus: 18,
  firstPair: 19,
  firstReference: 20,
  /** One byte. */
  slotUnits: 21,
  /** Three bytes: units a second. */
  unitsPerSecond: 22,
  /** A word, and one byte of 256ths of a unit. */
  stepUnits: 25,
  stepPart: 27,
  loadAddress: 28,
  flags: 30,
  size: 31,
} as const;

export const IMAGE_MARK = [0x77, 0x73] as const; // "ws"
export const IMAGE_VERSION = 3;
/** A step of the grid is so many parts of a unit. */
export const UNIT_PARTS = 256;
/** How the player was made, since its time depends on it. */
export const FLAG = { repeat: 1, ready: 2, readyLow: 4, stop: 8 } as const;
/** First byte of an image: the jump of each instruction set. */
export const JUMP = { z80: 0xc3, '6502': 0x4c } as const;
