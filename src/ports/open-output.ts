import { Refusal } from '../trouble/refusal.ts';
import { DeviceLink } from './device-link.ts';
import { FilePort } from './file/file-port.ts';
import { HardwarePort } from './hardware/hardware-port.ts';
import { loadMidiBinding } from './hardware/midi-binding.ts';
import { keepOutput } from './keep-output.ts';
import { MockPort } from './mock/mock-port.ts';
import type { OutputPort } from './output-port.ts';
import { openRawPort } from './raw/raw-port.ts';
import { openSerialPort } from './serial/serial-port.ts';

type Opener = (rest: string, spec: string, how: HowToOpen) => OutputPort | Promise<OutputPort>;

export interface HowToOpen {
  /** `KeptOutput.link`, where a keeper lives in another thread. */
  readonly link?: SharedArrayBuffer | undefined;
  /** Open even though the device is not there yet: the port is then lost until it comes. */
  readonly waitForDevice?: boolean | undefined;
}

/** Every kind of output: how it is written on the command line, what it is, how it is opened. */
export const OUTPUT_KINDS: Readonly<Record<string, { usage: string; about: string; open: Opener }>> = {
  mock: {
    usage: 'mock',
    about: 'a pretended 31,250-baud wire',
    open: (rest, spec) => {
      if (rest !== '') throw new Refusal('there is no such port', `port ${spec}`, 'write just mock');
      return new MockPort();
    },
  },
  file: {
    usage: 'file:<path>',
    about: 'writes what is sent, with its time, to a text file',
    open: openFile,
  },
  hw: {
    usage: 'hw:<number or part of the name>',
    about: 'a MIDI interface',
    open: async (rest, spec, { link }) =>
      new HardwarePort(spec, await loadMidiBinding(), { kind: 'named', name: rest }, new DeviceLink(link)),
  },
  virtual: {
    usage: 'virtual:<name>',
    about: 'a port that other programs connect to',
    open: async (rest, spec) =>
      new HardwarePort(spec, await loadMidiBinding(), { kind: 'virtual', name: rest }),
  },
  serial: {
    usage: 'serial:<device>[@baud]',
    about: 'a UART, 31,250 baud where none is named',
    open: (rest, _spec, { link }) => openSerialPort(rest, new DeviceLink(link)),
  },
  raw: {
    usage: 'raw:<device or FIFO>',
    about: 'bytes to a character device or a FIFO',
    open: (rest, _spec, { waitForDevice }) => openRawPort(rest, waitForDevice ?? false),
  },
};

/** Kinds whose device is opened and watched by a keeper (`keepOutput`). */
const KEPT = new Set(['hw', 'virtual', 'serial']);

/**
 * Opens the output that the user named. A thread without an event loop hands in what `keepOutput` gave the
 * main thread; without it the keeper is made here and closed with the port.
 * @param spec `mock`, `file:<path>`, …: one of OUTPUT_KINDS
 * @throws Refusal when there is no such kind, or the port cannot be opened
 */
export async function openOutput(spec: string, how: HowToOpen = {}): Promise<OutputPort> {
  const kind = kindOf(spec);
  if (how.link !== undefined || !KEPT.has(kind)) return openKind(kind, spec, how);
  const kept = await keepOutput(spec, how.waitForDevice ?? false);
  const port = await openKind(kind, kept.spec, { ...how, link: kept.link });
  const closePort = port.close.bind(port);
  port.close = () => {
    closePort();
    void kept.close();
  };
  return port;
}

/** The kind a spec names; refuses what is none, before anything is opened. */
export function kindOf(spec: string): string {
  const colon = spec.indexOf(':');
  const kind = colon < 0 ? spec : spec.slice(0, colon);
  if (!(kind in OUTPUT_KINDS) || colon < 0 !== (kind === 'mock')) {
    const known = Object.values(OUTPUT_KINDS).map(({ usage }) => usage);
    throw new Refusal('there is no such port', `port ${spec}`, `use ${known.join(', ')}`);
  }
  return kind;
}

async function openKind(kind: string, spec: string, how: HowToOpen): Promise<OutputPort> {
  return OUTPUT_KINDS[kind]!.open(spec.slice(kind.length + 1), spec, how);
}

function openFile(path: string, spec: string): OutputPort {
  if (path === '') throw new Refusal('the file port needs a path', spec, 'write file:<path>');
  try {
    return new FilePort(path);
  } catch (error) {
    const reason = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    throw new Refusal(`cannot be written (${reason})`, path, 'choose a file in a folder you may write to');
  }
}
