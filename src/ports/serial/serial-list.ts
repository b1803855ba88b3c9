import { readFileSync, readlinkSync } from 'node:fs';
import { basename, join } from 'node:path';
import { deviceEntries } from '../device-entries.ts';
import type { PortList } from '../port-kind.ts';
import { usableDevices } from '../usable-devices.ts';

/**
 * UARTs: every terminal device with hardware behind it. The kernel lists placeholders for PC serial ports that
 * are not there; their `type` is 0 (Linux, Documentation/ABI/testing/sysfs-tty).
 * @param root the folder that stands for `/`
 */
export function listSerial(root: string): PortList {
  const byDevice = lastingNames(root);
  const devices = deviceEntries(join(root, 'sys/class/tty'))
    .filter((name) => isUart(join(root, 'sys/class/tty', name)))
    .map((name) => {
      const path = byDevice.get(name) ?? `/dev/${name}`;
      const note = path === `/dev/${name}` ? 'UART' : `USB, now ${name}`;
      return {
        path: join(root, 'dev', name),
        port: { name: `serial:${path}`, direction: 'both', note } as const,
      };
    });
  if (devices.length > 0) return usableDevices(devices);
  const nothing = {
    name: 'serial:',
    reason: 'no serial device on this machine',
    remedy: 'plug in a USB serial adapter, or switch the board’s UART on (docs/ports.md)',
  };
  return { ports: [], troubles: [nothing] };
}

function isUart(folder: string): boolean {
  return deviceEntries(folder).includes('device') && textOf(join(folder, 'type')) !== '0';
}

/** Device name → its name by identity, which does not change with the order of plugging in. */
function lastingNames(root: string): Map<string, string> {
  const names = new Map<string, string>();
  for (const id of deviceEntries(join(root, 'dev/serial/by-id'))) {
    try {
      names.set(basename(readlinkSync(join(root, 'dev/serial/by-id', id))), `/dev/serial/by-id/${id}`);
    } catch {
      // unplugged between the two calls
    }
  }
  return names;
}

function textOf(path: string): string {
  try {
    return readFileSync(path, 'utf8').trim();
  } catch {
    return '';
  }
}
