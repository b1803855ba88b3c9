import { readFileSync, readlinkSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import type { LineErrors } from '../../core/loop/judge-loop.ts';
import { portNamed } from '../port-named.ts';
import { serialNameOf } from './serial-name.ts';

/**
 * Errors that a UART's driver counted since the machine started. Linux shows them to root in `/proc/tty/driver/<name>`,
 * a line for each port: `0: uart:16550A port:000003F8 irq:4 tx:12 rx:3 fe:2 oe:1 brk:1 RTS|DTR` (from memory; counts
 * that are 0 are left out). Which driver it is, and from which device number on, stands in `/proc/tty/drivers`.
 * @param from an input as on the command line
 * @param root the folder that stands for `/`
 * @returns or why the system does not tell
 */
export function readLineErrors(from: string, root = '/'): LineErrors | string {
  const named = portNamed(from);
  if (named?.kind.name !== 'serial') return 'only a serial: input is a UART of this machine';
  const device = deviceName(serialNameOf(named.rest).path, root);
  const driver = driverOf(textOf(join(root, 'proc/tty/drivers')) ?? '', device);
  if (driver === undefined) return 'the driver of this device keeps no count';
  const lines = textOf(join(root, 'proc/tty/driver', driver.name));
  if (lines === undefined) return `only root may read /proc/tty/driver/${driver.name}`;
  return lineErrorsIn(lines, driver.line) ?? 'the driver of this device keeps no count';
}

/** What was added since; a driver that started anew counts from 0. */
export function lineErrorsSince(before: LineErrors, from: string, root = '/'): LineErrors | undefined {
  const now = readLineErrors(from, root);
  if (typeof now === 'string') return undefined;
  const more = (name: keyof LineErrors) => (now[name] >= before[name] ? now[name] - before[name] : now[name]);
  return {
    framing: more('framing'),
    parity: more('parity'),
    overrun: more('overrun'),
    breaks: more('breaks'),
  };
}

function deviceName(path: string, root: string): string {
  try {
    return basename(resolve(dirname(path), readlinkSync(join(root, path))));
  } catch {
    return basename(path); // no link
  }
}

/** A line of the list of drivers: `serial  /dev/ttyS  4  64-95  serial`. */
function driverOf(
  drivers: string,
  device: string,
): { readonly name: string; readonly line: number } | undefined {
  for (const row of drivers.split('\n')) {
    const [name, prefix] = row.trim().split(/\s+/);
    if (name === undefined || prefix === undefined) continue;
    const stem = basename(prefix);
    const number = device.slice(stem.length);
    if (stem !== '' && device.startsWith(stem) && /^\d+$/.test(number)) return { name, line: Number(number) };
  }
  return undefined;
}

function lineErrorsIn(text: string, line: number): LineErrors | undefined {
  const found = text.split('\n').find((row) => row.startsWith(`${line}:`));
  if (found === undefined || !/ tx:\d/.test(found)) return undefined;
  const count = (name: string) => Number(new RegExp(` ${name}:(\\d+)`).exec(found)?.[1] ?? 0);
  return { framing: count('fe'), parity: count('pe'), overrun: count('oe'), breaks: count('brk') };
}

function textOf(path: string): string | undefined {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return undefined;
  }
}
