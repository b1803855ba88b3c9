import { Cc } from '../midi/controllers.ts';

/** Nothing was sent: what the receiver holds is its own affair. */
export const UNSET = 255;
export const BEND_UNSET = 0xffff;
export const BEND_CENTRE = 8192;

/** What CC121 brings to rest (RP-015, MMA 1998, from memory), and what a General MIDI reset does as well. */
export const RESET_BY_121: readonly (readonly [controller: number, value: number])[] = [
  [Cc.modulation, 0],
  [Cc.expression, 127],
  [Cc.damper, 0],
  [Cc.portamento, 0],
  [Cc.sostenuto, 0],
  [Cc.soft, 0],
  [Cc.legato, 0],
  [Cc.hold2, 0],
];

/**
 * [128] value each controller has in a receiver that was just reset. Volume 100 and expression 127: General MIDI
 * System Level 1. Pan, balance and the sound controllers 70–79 rest in the middle, reverb send at 40: General
 * MIDI 2. All else 0.
 */
export const REST_VALUES: Uint8Array = restValues();

function restValues(): Uint8Array {
  const rest = new Uint8Array(128);
  rest[Cc.volume] = 100;
  rest[Cc.balance] = 64;
  rest[Cc.pan] = 64;
  rest[Cc.expression] = 127;
  rest.fill(64, 70, 80);
  rest[Cc.reverbSend] = 40;
  rest.fill(127, Cc.nrpnFine, Cc.rpn + 1); // no parameter selected (RPN null)
  return rest;
}

/** Packed MSB << 7 | LSB a registered or non-registered parameter rests at. */
export function parameterRest(nonRegistered: boolean, number: number): number {
  if (nonRegistered) return 64 << 7; // no published value; the middle is common practice
  if (number === 0) return 2 << 7; // bend range ±2 semitones (GM1)
  if (number === 1 || number === 2) return 64 << 7; // fine and coarse tuning: A = 440 Hz (MIDI 1.0, p. 17)
  if (number === 5) return 64; // modulation depth range 50 cents (GM2, from memory)
  return 0;
}
