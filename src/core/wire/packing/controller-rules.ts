/** Pedals that hold notes: Damper, Sostenuto, Hold 2 (MIDI 1.0, Table III). Each has its bit. */
const HOLD_BITS: ReadonlyMap<number, number> = new Map([
  [64, 1],
  [66, 2],
  [69, 4],
]);

export const isHoldPedal = (controller: number): boolean => HOLD_BITS.has(controller);

/** Bits of the pedals that are down after this controller. */
export function pedalsAfter(pedals: number, controller: number, value: number): number {
  const bit = HOLD_BITS.get(controller);
  if (bit === undefined) return pedals;
  return value >= 64 ? pedals | bit : pedals & ~bit;
}

/**
 * Controllers that nothing sounding hears: they speak to the next program change, data entry, note or note-off
 * on their channel. Bank and parameter numbers (MIDI 1.0, p. 13 and p. 17); portamento, legato, soft pedal and
 * the note prefixes (for the next note); a pedal going down (it takes effect at the next note-off; Sostenuto
 * takes the keys that are down, and these are the same until the next note).
 */
export const isInert = (controller: number, value: number): boolean =>
  INERT.has(controller) || (HOLD_BITS.has(controller) && value >= 64);

const INERT: ReadonlySet<number> = new Set([0, 5, 32, 37, 65, 67, 68, 84, 88, 98, 99, 100, 101]);

/**
 * From such a message on, the order of the notes on the channel is part of the sound: Mono On (126),
 * Portamento or Legato switched on (65, 68; on from 64, MIDI 1.0, p. 12), Portamento Control (84) and
 * High-Resolution Velocity Prefix (88), which speak of the very next note.
 */
export const isGlide = (controller: number, value: number): boolean =>
  controller === 126 ||
  controller === 84 ||
  controller === 88 ||
  ((controller === 65 || controller === 68) && value >= 64);

/**
 * Controllers, bend and pressure that a sounding note takes on at once, so that it matters little whether they
 * come just before or just after its onset. Not bank and program; not All Sound Off, Reset, Local Control, All
 * Notes Off and Omni Off (120–124), which may end notes.
 */
export function isPlainState(status: number, data1: number): boolean {
  const kind = status & 0xf0;
  if (kind === 0xc0) return false;
  if (kind !== 0xb0) return true;
  return data1 !== 0 && data1 !== 32 && (data1 < 120 || data1 > 124);
}
