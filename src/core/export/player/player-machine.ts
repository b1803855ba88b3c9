/** What the packer has to know of the machine that will play. Times of the player are in units. */
export interface PlayerMachine {
  readonly cpu: 'z80' | '6502';
  readonly clockHz: number;
  /** First address that is free, and the first that is not. */
  readonly from: number;
  readonly to: number;
  /** Port (Z80) or address (6502) that a byte is written to. */
  readonly out: number;
  readonly repeat: boolean;
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
