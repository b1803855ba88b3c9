import { DeviceLink } from '../device-link.ts';
import type { KeptOutput, PortKind, PortList, PortListing, PortSources } from '../port-kind.ts';
import { hardwareMeant } from './choice-refusal.ts';
import { keepHardware } from './hardware-keeper.ts';
import { HARDWARE_WIRE, HardwarePort } from './hardware-port.ts';
import { openHardwareInput } from './input-hardware.ts';
import { loadMidiBinding } from './midi-binding.ts';
import { hardwareHere, usableBinding } from './usable-binding.ts';

export const INTERFACE_KIND: PortKind = {
  name: 'interface',
  usage: 'interface:<number or part of the name>',
  output: {
    about: 'a MIDI interface',
    wire: () => HARDWARE_WIRE,
    open: async (name, { link }) =>
      new HardwarePort(
        `interface:${name}`,
        await loadMidiBinding(),
        { kind: 'named', name },
        new DeviceLink(link),
      ),
    keep: keepInterface,
  },
  input: {
    about: 'a MIDI interface',
    open: async (rest, how) => openHardwareInput(rest, await usableBinding(`interface:${rest}`), how),
  },
  list: listInterfaces,
};

async function keepInterface(rest: string, waitForDevice: boolean): Promise<KeptOutput> {
  const where = `interface:${rest}`;
  const { outputs } = hardwareHere(where);
  const name = hardwareMeant(where, outputs, rest, waitForDevice);
  const keeper = keepHardware(await loadMidiBinding(), name);
  return { spec: `interface:${name}`, link: keeper.link.buffer, close: () => keeper.close() };
}

function listInterfaces({ probe }: PortSources): PortList {
  const found = probe();
  if ('reason' in found) {
    const { reason, remedy } = found;
    return { ports: [], troubles: [{ name: 'interface: and virtual:', reason, remedy }] };
  }
  const listed = (names: readonly string[], direction: 'out' | 'in'): PortListing[] =>
    names.map((note, index) => ({ name: `interface:${index}`, direction, note }));
  const ports = [...listed(found.outputs, 'out'), ...listed(found.inputs, 'in')];
  if (ports.length > 0) return { ports, troubles: [] };
  const nothing = {
    name: 'interface:',
    reason: 'the sequencer runs, but no device is connected',
    remedy: 'plug one in',
  };
  return { ports: [], troubles: [nothing] };
}
