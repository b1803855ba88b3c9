import { DeviceLink } from './device-link.ts';
import type { HowToListen, InputPort, InputSink } from './input-port.ts';
import { SerialDevice } from './serial-device.ts';
import { serialNameOf } from './serial-name.ts';

/** `serial:<device>[@baud]` as an input. Throws a refusal when the device cannot be used. */
export async function openSerialInput(text: string, how: HowToListen): Promise<InputPort> {
  const { path, wire } = serialNameOf(text);
  const link = new DeviceLink();
  let sink: InputSink | undefined;
  const device = new SerialDevice(
    path,
    wire.baud,
    {
      data: (bytes) => sink?.bytes(bytes, how.clock.nowMicros()),
      opened: () => {
        link.opened();
        sink?.back();
      },
      lost: () => {
        link.lost();
        sink?.lost();
      },
    },
    () => link.reportedGone,
  );
  await device.open(how.waitForDevice);
  return {
    name: `serial:${text}`,
    wire,
    paced: true,
    link,
    start(given) {
      sink = given;
      if (device.isOpen) given.back();
      else given.lost();
    },
    async close() {
      sink = undefined;
      await device.close();
    },
  };
}
