import { MIDI_WIRE, type WireTraits } from '../core/wire/wire-traits.ts';
import { HARDWARE_WIRE } from './hardware/hardware-port.ts';
import { kindOf } from './open-output.ts';
import { serialNameOf } from './serial/serial-name.ts';

const WIRES: Readonly<Record<string, (rest: string) => WireTraits>> = {
  hw: () => HARDWARE_WIRE,
  virtual: () => HARDWARE_WIRE,
  serial: (rest) => serialNameOf(rest).wire,
};

/**
 * The wire behind an output, known from its name alone: a plan is made before any port is open.
 * @throws Refusal when the name is none
 */
export function wireOf(spec: string): WireTraits {
  const kind = kindOf(spec);
  return WIRES[kind]?.(spec.slice(kind.length + 1)) ?? MIDI_WIRE;
}
