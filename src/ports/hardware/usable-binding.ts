import { type HardwareNames, hardwareRefusal, probeHardware } from './hardware-trouble.ts';
import { loadMidiBinding, type MidiBinding } from './midi-binding.ts';

/** What the sequencer has, @throws Refusal where it does not answer. */
export function hardwareHere(spec: string): HardwareNames {
  const found = probeHardware();
  if ('reason' in found) throw hardwareRefusal(spec, found);
  return found;
}

/** The MIDI library, once it is known that it can be opened. @throws Refusal where it cannot */
export async function usableBinding(spec: string): Promise<MidiBinding> {
  hardwareHere(spec);
  return loadMidiBinding();
}
