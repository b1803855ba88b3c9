import { Refusal } from '../../trouble/refusal.ts';
import type { PortKind } from '../port-kind.ts';
import { HARDWARE_WIRE, HardwarePort } from './hardware-port.ts';
import { openVirtualInput } from './input-hardware.ts';
import { loadMidiBinding } from './midi-binding.ts';
import { hardwareHere, usableBinding } from './usable-binding.ts';

export const VIRTUAL_KIND: PortKind = {
  name: 'virtual',
  usage: 'virtual:<name>',
  output: {
    about: 'a port that other programs connect to',
    wire: () => HARDWARE_WIRE,
    open: async (name) =>
      new HardwarePort(`virtual:${name}`, await loadMidiBinding(), { kind: 'virtual', name }),
    async keep(name) {
      if (name === '') throw new Refusal('the port needs a name', 'virtual:', 'write virtual:<name>');
      hardwareHere(`virtual:${name}`);
      return { spec: `virtual:${name}`, async close() {} };
    },
  },
  input: {
    about: 'a port that other programs send to',
    open: async (name, how) => openVirtualInput(name, await usableBinding(`virtual:${name}`), how),
  },
  list({ probe }) {
    if ('reason' in probe()) return { ports: [], troubles: [] }; // `interface:` says why
    const note = 'a port of our own that other programs connect to';
    return { ports: [{ name: 'virtual:<name>', direction: 'both', note }], troubles: [] };
  },
};
