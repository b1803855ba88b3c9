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
const BYTE_MICROS = 320;
/**
 * The line's clock and the processor's are two: both within 1 % of what they should be (MIDI 1.0, p. 1 allows the
 * line so much), a byte may still be on its way when the next comes at exactly its time.
 */
const SLACK = 1.01;

/** Time between two bytes, in whole units. */
export function slotUnitsOf(clockHz: number, unitCycles: number): number {
  return Math.ceil((BYTE_MICROS * SLACK * clockHz) / 1_000_000 / unitCycles);
}
