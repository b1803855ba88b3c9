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
 * Bank numbers and parameter numbers: nothing is heard until a program change or a data entry follows
 * (MIDI 1.0, p. 13 and p. 17).
 */
export const isInert = (controller: number): boolean =>
  controller === 0 || controller === 32 || (controller >= 98 && controller <= 101);

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
