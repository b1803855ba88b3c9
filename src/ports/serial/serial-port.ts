import { constants, openSync } from 'node:fs';
import { DeviceLink } from '../device-link.ts';
import { DescriptorPort } from '../raw/descriptor-port.ts';
import { SerialDevice } from './serial-device.ts';
import { serialNameOf } from './serial-name.ts';

/** Opens, watches and reopens a UART, in the main thread. */
export interface SerialKeeper {
  /** For `openSerialPort` or `openSerialInput` in the thread that sends or listens. */
  readonly link: DeviceLink;
  close(): Promise<void>;
}

/**
 * @param text what follows `serial:`
 * @param use whether anybody will read from the device; then the keeper leaves what comes in alone
 * @throws Refusal when the device cannot be used
 */
export async function keepSerialDevice(
  text: string,
  waitForDevice: boolean,
  use: 'output' | 'input',
): Promise<SerialKeeper> {
  const { path, wire } = serialNameOf(text);
  const link = new DeviceLink();
  const device = new SerialDevice(
    path,
    wire.baud,
    { opened: () => link.opened(), lost: () => link.lost() },
    use === 'output',
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
      if (!link.present) return undefined;
      generation = link.generation;
      try {
        // The settings belong to the device, so a second opening has them too.
        return openSync(path, constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
      } catch {
        link.reportGone();
        return undefined;
      }
    },
    present: () => link.present && link.generation === generation,
    failed: () => link.reportGone(),
    close() {},
  });
}
