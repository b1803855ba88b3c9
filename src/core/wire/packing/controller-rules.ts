import { Cc, isSwitchOn } from '../../midi/controllers.ts';
import { HOLDING_PEDALS } from '../../midi/pedals.ts';

/** Each pedal that holds notes has its bit. */
const HOLD_BITS: ReadonlyMap<number, number> = new Map(
  HOLDING_PEDALS.map(({ controller }, index) => [controller, 1 << index]),
);

export const isHoldPedal = (controller: number): boolean => HOLD_BITS.has(controller);

/** Bits of the pedals that are down after this controller. */
export function pedalsAfter(pedals: number, controller: number, value: number): number {
  const bit = HOLD_BITS.get(controller) ?? 0;
  return isSwitchOn(value) ? pedals | bit : pedals & ~bit;
}

/**
 * Controllers that nothing sounding hears: they speak to the next program change, data entry, note or note-off
 * on their channel. Bank and parameter numbers (MIDI 1.0, p. 13 and p. 17); portamento, legato, soft pedal and
 * the note prefixes (for the next note); a pedal going down (it takes effect at the next note-off; Sostenuto
 * takes the keys that are down, and these are the same until the next note).
 */
export const isInert = (controller: number, value: number): boolean =>
  INERT.has(controller) || (HOLD_BITS.has(controller) && isSwitchOn(value));

const INERT: ReadonlySet<number> = new Set([
  Cc.bankSelect,
  Cc.bankSelectFine,
  Cc.portamentoTime,
  Cc.portamentoTimeFine,
  Cc.portamento,
  Cc.soft,
  Cc.legato,
  Cc.portamentoControl,
  Cc.velocityPrefix,
  Cc.nrpnFine,
  Cc.nrpn,
  Cc.rpnFine,
  Cc.rpn,
]);

/**
 * From such a message on, the order of the notes on the channel is part of the sound: Mono On (126),
 * Portamento or Legato switched on (65, 68; on from 64, MIDI 1.0, p. 12), Portamento Control (84) and
 * High-Resolution Velocity Prefix (88), which speak of the very next note.
 */
export const isGlide = (controller: number, value: number): boolean =>
  controller === Cc.monoOn ||
  controller === Cc.portamentoControl ||
  controller === Cc.velocityPrefix ||
  ((controller === Cc.portamento || controller === Cc.legato) && isSwitchOn(value));

/**
 * Values that a sounding note takes on at once and a beginning one just as well, so that it matters little
 * whether they come just before its onset or just after it: bend, channel pressure, and the controllers that
 * move while notes sound. Not what is read when a note begins or ends (programs, banks, portamento, Sostenuto,
 * Soft, attack and release times), nor data entry and mode messages.
 */
export function isPlainState(status: number, data1: number): boolean {
  const kind = status & 0xf0;
  return kind === 0xe0 || kind === 0xd0 || (kind === 0xb0 && PLAIN.has(data1));
}

/**
 * Modulation, breath, foot, volume, balance, pan, expression, effect controls, their fine halves, the damper
 * pedal, Hold 2, timbre (71), brightness (74), effect depths (MIDI 1.0, Table III; 71 and 74: MMA RP-021).
 */
const PLAIN: ReadonlySet<number> = new Set(
  [Cc.modulation, 2, 4, Cc.volume, Cc.balance, Cc.pan, Cc.expression, 12, 13]
    .flatMap((coarse) => [coarse, coarse + 32])
    .concat(Cc.damper, Cc.hold2, 71, 74, Cc.reverbSend, 92, Cc.chorusSend, 94, 95),
);
