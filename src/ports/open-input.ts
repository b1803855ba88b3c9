import { Refusal } from '../trouble/refusal.ts';
import { openFileInput } from './file/input-file.ts';
import { hardwareRefusal, probeHardware } from './hardware/hardware-trouble.ts';
import { openHardwareInput, openVirtualInput } from './hardware/input-hardware.ts';
import { loadMidiBinding, type MidiBinding } from './hardware/midi-binding.ts';
import type { HowToListen, InputPort } from './input-port.ts';
import { openRawInput } from './raw/input-raw.ts';
import { openSerialInput } from './serial/input-serial.ts';
import { openStdinInput } from './stdin/input-stdin.ts';

type Opener = (rest: string, spec: string, how: HowToListen) => InputPort | Promise<InputPort>;

/** Every kind of input: how it is written on the command line, what it is, how it is opened. */
export const INPUT_KINDS: Readonly<Record<string, { usage: string; about: string; open: Opener }>> = {
  hw: {
    usage: 'hw:<number or part of the name>',
    about: 'a MIDI interface',
    open: async (rest, spec, how) => openHardwareInput(rest, await usableBinding(spec), how),
  },
  virtual: {
    usage: 'virtual:<name>',
    about: 'a port that other programs send to',
    open: async (rest, spec, how) => openVirtualInput(rest, await usableBinding(spec), how),
  },
  serial: {
    usage: 'serial:<device>[@baud]',
    about: 'a UART, 31,250 baud where none is named',
    open: (rest, _spec, how) => openSerialInput(rest, how),
  },
  raw: {
    usage: 'raw:<device or FIFO>',
    about: 'bytes from a character device or a FIFO',
    open: (rest, _spec, how) => openRawInput(rest, how),
  },
  file: {
    usage: 'file:<path>',
    about: 'a dump of bytes, or a record with times',
    open: (rest, _spec, how) => openFileInput(rest, how),
  },
  stdin: {
    usage: 'stdin',
    about: 'bytes from standard input',
    open: (_rest, _spec, how) => openStdinInput(how),
  },
};

/**
 * Opens the input that the user named, in a thread with an event loop.
 * @param spec one of INPUT_KINDS, or `-` for standard input
 * @throws Refusal when there is no such kind, or the input cannot be opened
 */
export async function openInput(spec: string, how: HowToListen): Promise<InputPort> {
  const wanted = spec === '-' ? 'stdin' : spec;
  const colon = wanted.indexOf(':');
  const name = colon < 0 ? wanted : wanted.slice(0, colon);
  const rest = colon < 0 ? '' : wanted.slice(colon + 1);
  const kind = INPUT_KINDS[name];
  // Standard input has no more to its name; every other kind has.
  if (kind === undefined || (rest === '') !== (name === 'stdin') || colon < 0 !== (name === 'stdin')) {
    const known = Object.values(INPUT_KINDS).map(({ usage }) => usage);
    throw new Refusal('there is no such input', `port ${spec}`, `use ${known.join(', ')}`);
  }
  return kind.open(rest, spec, how);
}

async function usableBinding(spec: string): Promise<MidiBinding> {
  const found = probeHardware();
  if ('reason' in found) throw hardwareRefusal(spec, found);
  return loadMidiBinding();
}
