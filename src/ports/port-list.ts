import { readdirSync, readFileSync, readlinkSync } from 'node:fs';
import { basename, join } from 'node:path';
import { type Access, accessOf, groupAdvice } from './device-access.ts';
import { type HardwareNames, type HardwareTrouble, probeHardware } from './hardware/hardware-trouble.ts';

/** One place MIDI can go to or come from, as it is named on the command line. */
export interface PortListing {
  readonly name: string;
  readonly direction: 'out' | 'in' | 'both';
  readonly note: string;
}

/** A kind of port, or one device, that cannot be used now: why, and how to get it. */
export interface PortTrouble {
  readonly name: string;
  readonly reason: string;
  readonly remedy: string;
}

export interface PortList {
  readonly ports: readonly PortListing[];
  readonly troubles: readonly PortTrouble[];
}

/** Where the list is read from; a test hands in folders of its own. */
export interface PortSources {
  /** The folder that stands for `/`. */
  readonly root: string;
  readonly probe: () => HardwareNames | HardwareTrouble;
}

const HERE: PortSources = { root: '/', probe: probeHardware };

/** Everything `--port`, `--from` and `--thru` can name on this machine. Opens no device. */
export function listPorts(sources: PortSources = HERE): PortList {
  const ports: PortListing[] = [];
  const troubles: PortTrouble[] = [];
  addHardware(sources.probe(), ports, troubles);
  addSerial(sources.root, ports, troubles);
  addRaw(sources.root, ports, troubles);
  ports.push(
    {
      name: 'file:<path>',
      direction: 'both',
      note: 'a record of bytes with their times (docs/file-port.md)',
    },
    { name: 'stdin', direction: 'in', note: 'bytes from standard input, or - for short' },
    { name: 'mock', direction: 'out', note: 'a pretended 31,250-baud wire that leads nowhere' },
  );
  return { ports, troubles };
}

function addHardware(
  found: HardwareNames | HardwareTrouble,
  ports: PortListing[],
  troubles: PortTrouble[],
): void {
  if ('reason' in found) {
    troubles.push({ name: 'hw: and virtual:', reason: found.reason, remedy: found.remedy });
    return;
  }
  for (const [index, name] of found.outputs.entries())
    ports.push({ name: `hw:${index}`, direction: 'out', note: name });
  for (const [index, name] of found.inputs.entries())
    ports.push({ name: `hw:${index}`, direction: 'in', note: name });
  if (found.outputs.length + found.inputs.length === 0) {
    troubles.push({
      name: 'hw:',
      reason: 'the sequencer runs, but no device is connected',
      remedy: 'plug one in',
    });
  }
  ports.push({
    name: 'virtual:<name>',
    direction: 'both',
    note: 'a port of our own that other programs connect to',
  });
}

/**
 * UARTs: every terminal device with hardware behind it. The kernel lists placeholders for PC serial ports that
 * are not there; their `type` is 0 (Linux, Documentation/ABI/testing/sysfs-tty).
 */
function addSerial(root: string, ports: PortListing[], troubles: PortTrouble[]): void {
  const byDevice = lastingNames(root);
  let seen = 0;
  for (const name of entries(join(root, 'sys/class/tty'))) {
    const folder = join(root, 'sys/class/tty', name);
    if (!entries(folder).includes('device') || textOf(join(folder, 'type')) === '0') continue;
    seen += 1;
    const path = byDevice.get(name) ?? `/dev/${name}`;
    const port: PortListing = {
      name: `serial:${path}`,
      direction: 'both',
      note: path === `/dev/${name}` ? 'UART' : `USB, now ${name}`,
    };
    addIfUsable(accessOf(join(root, 'dev', name)), join(root, 'dev', name), port, ports, troubles);
  }
  if (seen > 0) return;
  troubles.push({
    name: 'serial:',
    reason: 'no serial device on this machine',
    remedy: 'plug in a USB serial adapter, or switch the board’s UART on (docs/ports.md)',
  });
}

/** The kernel's raw MIDI devices, which bypass the sequencer. */
function addRaw(root: string, ports: PortListing[], troubles: PortTrouble[]): void {
  for (const name of entries(join(root, 'dev/snd'))) {
    if (!/^midiC\d+D\d+$/.test(name)) continue;
    const path = join(root, 'dev/snd', name);
    const port: PortListing = { name: `raw:/dev/snd/${name}`, direction: 'both', note: 'raw MIDI device' };
    addIfUsable(accessOf(path), path, port, ports, troubles);
  }
  ports.push({
    name: 'raw:<device or FIFO>',
    direction: 'both',
    note: 'bytes to any character device or FIFO',
  });
}

function addIfUsable(
  access: Access,
  path: string,
  port: PortListing,
  ports: PortListing[],
  troubles: PortTrouble[],
): void {
  if (access === 'ok') ports.push(port);
  else if (access === 'no-permission') {
    troubles.push({ name: port.name, reason: 'no permission', remedy: groupAdvice(path) });
  }
}

/** Device name → its name by identity, which does not change with the order of plugging in. */
function lastingNames(root: string): Map<string, string> {
  const names = new Map<string, string>();
  for (const id of entries(join(root, 'dev/serial/by-id'))) {
    try {
      names.set(basename(readlinkSync(join(root, 'dev/serial/by-id', id))), `/dev/serial/by-id/${id}`);
    } catch {
      // unplugged between the two calls
    }
  }
  return names;
}

function entries(folder: string): string[] {
  try {
    return readdirSync(folder).sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  } catch {
    return [];
  }
}

function textOf(path: string): string {
  try {
    return readFileSync(path, 'utf8').trim();
  } catch {
    return '';
  }
}
