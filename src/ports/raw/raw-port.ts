import { closeSync, constants, fstatSync, openSync, statSync } from 'node:fs';
import { MIDI_WIRE, type WireTraits } from '../../core/wire/wire-traits.ts';
import { diskPath } from '../../files/disk-path.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { groupAdvice } from '../device-access.ts';
import { DescriptorPort, type DeviceOpener } from './descriptor-port.ts';

/**
 * `raw:<device or FIFO>`: the bytes, encoded with running status, to a character device (a kernel's raw MIDI
 * device, a home-made driver) or a FIFO. Nothing is set on the device: who wants a baud rate uses `serial:`.
 * Throws a refusal when the device cannot be used, or is not there and `waitForDevice` is false.
 */
export function openRawPort(
  path: string,
  waitForDevice: boolean,
  wire: WireTraits = MIDI_WIRE,
): DescriptorPort {
  const opener = rawOpener(path);
  const port = new DescriptorPort(`raw:${path}`, wire, opener);
  const reason = opener.reason();
  if (reason === undefined || (waitForDevice && reason.mayCome)) return port;
  port.close();
  throw new Refusal(reason.what, `raw:${path}`, reason.nextStep);
}

export interface RawReason {
  readonly what: string;
  readonly nextStep: string;
  /** False for what waiting does not mend: a directory, an ordinary file. */
  readonly mayCome: boolean;
}

function rawOpener(path: string): DeviceOpener & { reason(): RawReason | undefined } {
  let reason: RawReason | undefined;
  return {
    open() {
      try {
        const fd = openSync(diskPath(path), constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
        const stat = fstatSync(fd);
        if (stat.isCharacterDevice() || stat.isFIFO()) {
          reason = undefined;
          return fd;
        }
        closeSync(fd); // opened without O_TRUNC: an ordinary file is as it was
        reason = rawReason(path, { code: 'ORDINARY' });
      } catch (error) {
        reason = rawReason(path, error as NodeJS.ErrnoException);
      }
      return undefined;
    },
    present: () => true,
    failed() {},
    close() {},
    reason: () => reason,
  };
}

/** Why a raw device cannot be opened, from the error's code. */
export function rawReason(path: string, error: { readonly code?: string | undefined }): RawReason {
  switch (error.code) {
    case 'ENOENT':
      return { what: 'there is no such device', nextStep: SEE_PORTS, mayCome: true };
    case 'ENXIO':
      // open(2): a FIFO opened for writing without blocking needs a reader; a device node without its driver.
      return isFifo(path)
        ? { what: 'nobody reads this FIFO yet', nextStep: 'start its reader first', mayCome: true }
        : { what: 'no driver answers behind this device node', nextStep: SEE_PORTS, mayCome: true };
    case 'EBUSY':
      return { what: 'another program has it open', nextStep: 'close that program', mayCome: true };
    case 'EACCES':
    case 'EPERM':
      return { what: 'no permission', nextStep: groupAdvice(path), mayCome: false };
    case 'ORDINARY':
      return { what: 'an ordinary file', nextStep: 'for a file use file:<path>', mayCome: false };
    case 'EISDIR':
      return { what: 'a directory', nextStep: SEE_PORTS, mayCome: false };
    default:
      return { what: `the system says ${error.code}`, nextStep: SEE_PORTS, mayCome: true };
  }
}

function isFifo(path: string): boolean {
  try {
    return statSync(diskPath(path)).isFIFO();
  } catch {
    return false;
  }
}

const SEE_PORTS = '`wirepit ports` lists what is here';
