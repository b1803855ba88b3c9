import { join } from 'node:path';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import { deviceEntries } from '../device-entries.ts';
import type { PortKind, PortList } from '../port-kind.ts';
import { usableDevices } from '../usable-devices.ts';
import { openRawInput } from './input-raw.ts';
import { openRawPort } from './raw-port.ts';

export const RAW_KIND: PortKind = {
  name: 'raw',
  usage: 'raw:<device or FIFO>',
  output: {
    about: 'bytes to a character device or a FIFO',
    wire: () => MIDI_WIRE,
    open: (rest, { waitForDevice }) => openRawPort(rest, waitForDevice ?? false),
  },
  input: {
    about: 'bytes from a character device or a FIFO',
    open: openRawInput,
  },
  list: ({ root }) => listRaw(root),
};

/** The kernel's raw MIDI devices, which bypass the sequencer. */
function listRaw(root: string): PortList {
  const names = deviceEntries(join(root, 'dev/snd')).filter((name) => /^midiC\d+D\d+$/.test(name));
  const { ports, troubles } = usableDevices(
    names.map((name) => ({
      path: join(root, 'dev/snd', name),
      port: { name: `raw:/dev/snd/${name}`, direction: 'both', note: 'raw MIDI device' },
    })),
  );
  return {
    ports: [
      ...ports,
      { name: 'raw:<device or FIFO>', direction: 'both', note: 'bytes to any character device or FIFO' },
    ],
    troubles,
  };
}
