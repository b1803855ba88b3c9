import { constants, openSync } from 'node:fs';
import { DescriptorPort } from './descriptor-port.ts';
import { DeviceLink } from './device-link.ts';
import { SerialDevice } from './serial-device.ts';
import { serialNameOf } from './serial-name.ts';

/** Opens, watches and reopens the UART for a `serial:` output, in the thread that has an event loop. */
export interface SerialKeeper {
  /** For `openSerialPort` in the sending thread. */
  readonly link: DeviceLink;
  close(): Promise<void>;
}

/** @param text what follows `serial:`. Throws a refusal when the device cannot be used. */
export async function keepSerialDevice(text: string, waitForDevice: boolean): Promise<SerialKeeper> {
  const { path, wire } = serialNameOf(text);
  const link = new DeviceLink();
  const device = new SerialDevice(
    path,
    wire.baud,
    { data() {}, opened: () => link.opened(), lost: () => link.lost() },
    () => link.reportedGone,
  );
  await device.open(waitForDevice);
  return { link, close: () => device.close() };
}

/** The output itself: synchronous writes to a device that `keepSerialDevice` has opened and set up. */
export function openSerialPort(text: string, link: DeviceLink): DescriptorPort {
  const { path, wire } = serialNameOf(text);
  let generation = 0;
  return new DescriptorPort(`serial:${text}`, wire, {
    open() {
      if (!link.present) return -1;
      generation = link.generation;
      try {
        // The settings belong to the device, so a second opening has them too.
        return openSync(path, constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
      } catch {
        link.reportGone();
        return -1;
      }
    },
    present: () => link.present && link.generation === generation,
    failed: () => link.reportGone(),
    close() {},
  });
}
