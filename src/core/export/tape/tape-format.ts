/**
 * Sound on a cassette as the symposium of November 1975 agreed on it (M. and V. Peschke, "BYTE's Audio Cassette
 * Standards Symposium", BYTE, February 1976, pp. 72–73): a one is 2400 Hz, a zero 1200 Hz, 300 bits a second, a
 * character is a zero, eight bits from the lowest up, and two ones. The 1200-baud variant has a quarter of the
 * cycles for each bit (common practice; printed in manuals of the early 1980s, not in the standard).
 */
export const TAPE_MARK_HZ = 2400;
export const TAPE_SPACE_HZ = 1200;
/** Start, eight data bits, two stop bits. */
export const TAPE_BITS_PER_BYTE = 11;

export const TAPE_BAUDS = [300, 1200] as const;
export type TapeBaud = (typeof TAPE_BAUDS)[number];

/** Half cycles of 2400 Hz that one bit lasts: 16 at 300 baud, 4 at 1200. A zero has half as many, twice as long. */
export function halvesPerBit(baud: TapeBaud): number {
  return (2 * TAPE_MARK_HZ) / baud;
}

/** Seconds that so many bytes take, without leaders. */
export function tapeByteSeconds(bytes: number, baud: TapeBaud): number {
  return (bytes * TAPE_BITS_PER_BYTE) / baud;
}
