import { Refusal } from '../trouble/refusal.ts';
import { keepHardware } from './hardware/hardware-keeper.ts';
import { chooseHardware } from './hardware/hardware-name.ts';
import { hardwareRefusal, probeHardware } from './hardware/hardware-trouble.ts';
import { loadMidiBinding } from './hardware/midi-binding.ts';
import { keepSerialDevice } from './serial/serial-port.ts';

/**
 * The half of an output that lives in the thread with an event loop: it opens and sets up the device, watches
 * it, and opens it again when it comes back. The sending thread gets `spec` and `link` and calls `openOutput`.
 */
export interface KeptOutput {
  /** What `openOutput` is to open; for `hw:` the port's lasting name instead of an index. */
  readonly spec: string;
  /** Of a `DeviceLink`; undefined for ports that need no keeper. */
  readonly link?: SharedArrayBuffer;
  close(): Promise<void>;
}

type Keeper = (rest: string, waitForDevice: boolean) => Promise<KeptOutput>;

const KEEPERS: Readonly<Record<string, Keeper>> = {
  serial: async (rest, waitForDevice) => {
    const keeper = await keepSerialDevice(rest, waitForDevice, 'output');
    return { spec: `serial:${rest}`, link: keeper.link.buffer, close: () => keeper.close() };
  },
  hw: keepNamedHardware,
  virtual: async (rest) => {
    if (rest === '') throw new Refusal('the port needs a name', 'virtual:', 'write virtual:<name>');
    const found = probeHardware();
    if ('reason' in found) throw hardwareRefusal(`virtual:${rest}`, found);
    return { spec: `virtual:${rest}`, async close() {} };
  },
};

/**
 * @param spec as on the command line
 * @param waitForDevice start although the device is not there yet, and begin with it when it comes
 * @throws Refusal when the port cannot be used
 */
export async function keepOutput(spec: string, waitForDevice: boolean): Promise<KeptOutput> {
  const colon = spec.indexOf(':');
  const keep = KEEPERS[spec.slice(0, Math.max(colon, 0))];
  return keep === undefined ? { spec, async close() {} } : keep(spec.slice(colon + 1), waitForDevice);
}

async function keepNamedHardware(rest: string, waitForDevice: boolean): Promise<KeptOutput> {
  const found = probeHardware();
  if ('reason' in found) throw hardwareRefusal(`hw:${rest}`, found);
  const choice = chooseHardware(found.outputs, rest);
  if (choice.kind !== 'found' && !(waitForDevice && choice.kind === 'none')) {
    throw choiceRefusal(`hw:${rest}`, choice.kind, choice.kind === 'none' ? found.outputs : choice.matches);
  }
  const name = choice.kind === 'found' ? choice.name : rest;
  const keeper = keepHardware(await loadMidiBinding(), name);
  return { spec: `hw:${name}`, link: keeper.link.buffer, close: () => keeper.close() };
}

/** No port, or several, answer to the name. */
export function choiceRefusal(where: string, kind: 'none' | 'several', names: readonly string[]): Refusal {
  const list = names.map((name) => `'${name}'`).join(', ');
  if (kind === 'several')
    return new Refusal(`several ports have that in their name: ${list}`, where, 'write more of it');
  const what =
    names.length === 0 ? 'no device is connected' : `no port has that name or number; there are ${list}`;
  return new Refusal(what, where, '`wirepit ports` lists what is here');
}
