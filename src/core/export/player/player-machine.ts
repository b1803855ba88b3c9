import { PATHS_6502, READY_TO_OUT_6502, UNIT_CYCLES_6502 } from './6502-paths.ts';
import { Z80_PATHS, Z80_READY_TO_OUT, Z80_UNIT_CYCLES } from './z80-paths.ts';

/** What the packer has to know of the machine that will play. Times of the player are in units. */
export interface PlayerMachine {
  readonly cpu: 'z80' | '6502';
  readonly clockHz: number;
  /** First address that is free, and the first that is not. */
  readonly from: number;
  readonly to: number;
  /** Port (Z80) or address (6502) that a byte is written to. */
  readonly out: number;
  /** Absent: the player counts cycles. */
  readonly ready?: PlayerBit;
  /** Absent: nothing stops it. */
  readonly stop?: PlayerBit;
  /** First byte in page 0 that is used (6502 only). */
  readonly zeroPage?: number;
  readonly repeat: boolean;
}

/**
 * Bits that can be read: all of them 0 is "no", any of them 1 is "yes". Where `isLow`, a key is pressed where any is 0,
 * and a converter ready where all are.
 */
export interface PlayerBit {
  /** Port (Z80) or address (6502). */
  readonly at: number;
  readonly mask: number;
  readonly isLow: boolean;
}

/** A byte on the wire: ten bits at 31,250 baud (MIDI 1.0, p. 1). */
export const BYTE_MICROS = 320;
/**
 * The line's clock and the processor's are two: both within 1 % of what they should be (MIDI 1.0, p. 1 allows the
 * line so much), a byte may still be on its way when the next comes at exactly its time.
 */
const SLACK = 1.01;

export function unitMicrosOf({ cpu, clockHz }: Pick<PlayerMachine, 'cpu' | 'clockHz'>): number {
  return (1_000_000 * UNIT_CYCLES[cpu]) / clockHz;
}

/**
 * Time between two bytes, in whole units. Where the interface itself says when, it is asked some cycles before the byte is
 * written: a slot is so much longer than a byte that the first asking finds it ready, for asking again costs more.
 */
export function slotUnitsOf({
  cpu,
  clockHz,
  ready,
}: Pick<PlayerMachine, 'cpu' | 'clockHz' | 'ready'>): number {
  const byteCycles = (BYTE_MICROS * clockHz) / 1_000_000;
  const cycles = ready === undefined ? SLACK * byteCycles : byteCycles + readyToOut(cpu);
  return Math.ceil(cycles / UNIT_CYCLES[cpu]);
}

function readyToOut(cpu: PlayerMachine['cpu']): number {
  return cpu === '6502' ? READY_TO_OUT_6502 : Z80_READY_TO_OUT;
}

/** Bytes in page 0 that the 6502 player uses, and gives back as they were. */
export const PAGE_0_BYTES_6502 = 13;

/**
 * Stack for a level of references, and beside them. Z80: calls, and two addresses for the caller and the saved stack.
 * 6502: the caller, the flags, what page 0 held, and a call.
 */
const STACK = {
  z80: { level: 4, beside: 4, isInRam: true },
  '6502': { level: 3, beside: 8 + PAGE_0_BYTES_6502, isInRam: false },
} as const;

/** @param deepest references within references, as `PlayedImage` has it */
export function stackBytesOf(cpu: PlayerMachine['cpu'], deepest: number): number {
  return STACK[cpu].level * deepest + STACK[cpu].beside;
}

/** What player and song with their stack take of the board's memory: a 6502's stack is in page 1, which is no part of it. */
export function memoryBytesOf(cpu: PlayerMachine['cpu'], imageBytes: number, stackBytes: number): number {
  return imageBytes + (STACK[cpu].isInRam ? stackBytes : 0);
}

/** Cycles of the unit that a player's account is kept in. */
export const UNIT_CYCLES: Readonly<Record<PlayerMachine['cpu'], number>> = {
  z80: Z80_UNIT_CYCLES,
  '6502': UNIT_CYCLES_6502,
};

/**
 * A burst is cut by a wait after this long: the Z80's debt has 16 bits; in the 6502 the steps that a burst has run past
 * are gone through between two bytes, and X counts no more than 255.
 */
export function longestBurstUnits({ cpu }: Pick<PlayerMachine, 'cpu'>, stepUnits: number): number {
  return cpu === 'z80' ? 12_000 : Math.min(12_000, 10 * stepUnits);
}

/**
 * Finer steps than this, in units, are not tried. The steps that a burst has run past are gone through before its next byte:
 * the less time a byte leaves, the fewer there should be (of songs measured none is then a millisecond late at 2 MHz); in the
 * 6502 they have to fit its register.
 * @param limitUnits a message may be moved by so much: who asks for a finer grid gets it
 */
export function leastStepUnits(
  machine: Pick<PlayerMachine, 'cpu' | 'clockHz' | 'ready'>,
  limitUnits: number,
): number {
  if (machine.cpu === '6502') return 64;
  const inTime = Math.ceil(2_400 / (slotUnitsOf(machine) - Z80_PATHS.plain));
  return Math.max(8, Math.min(inTime, Math.floor(limitUnits)));
}

/** What entering another level costs at least. */
export function levelUnitsOf({ cpu }: Pick<PlayerMachine, 'cpu'>): number {
  return (cpu === 'z80' ? Z80_PATHS : PATHS_6502).pair;
}
