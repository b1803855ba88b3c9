import { UNIT_CYCLES_6502 } from './6502-paths.ts';
import { Z80_UNIT_CYCLES } from './z80-paths.ts';

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

/** Bits that can be read: all of them 0 is "no", any of them 1 is "yes"; the other way round where `isLow`. */
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

/** Time between two bytes, in whole units; where the line itself says when, no more than a byte takes. */
export function slotUnitsOf({
  cpu,
  clockHz,
  ready,
}: Pick<PlayerMachine, 'cpu' | 'clockHz' | 'ready'>): number {
  const byteUnits = (BYTE_MICROS * clockHz) / 1_000_000 / UNIT_CYCLES[cpu];
  return ready === undefined ? Math.ceil(SLACK * byteUnits) : Math.floor(byteUnits);
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

/** Finer steps than this, in units, would not leave the 6502 the time to go through them. */
export function leastStepUnits({ cpu }: Pick<PlayerMachine, 'cpu'>): number {
  return cpu === 'z80' ? 8 : 64;
}
