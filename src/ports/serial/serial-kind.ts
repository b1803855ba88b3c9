import { DeviceLink } from '../device-link.ts';
import type { PortKind } from '../port-kind.ts';
import { openSerialInput } from './input-serial.ts';
import { listSerial } from './serial-list.ts';
import { serialNameOf } from './serial-name.ts';
import { keepSerialDevice, openSerialPort } from './serial-port.ts';

export const SERIAL_KIND: PortKind = {
  name: 'serial',
  usage: 'serial:<device>[@baud]',
  output: {
    about: 'a UART, 31,250 baud where none is named',
    wire: (rest) => serialNameOf(rest).wire,
    open: (rest, { link }) => openSerialPort(rest, new DeviceLink(link)),
    async keep(rest, waitForDevice) {
      const keeper = await keepSerialDevice(rest, waitForDevice, 'output');
      return { spec: `serial:${rest}`, link: keeper.link.buffer, close: () => keeper.close() };
    },
  },
  input: {
    about: 'a UART, 31,250 baud where none is named',
    open: openSerialInput,
    async keep(rest, waitForDevice) {
      const keeper = await keepSerialDevice(rest, waitForDevice, 'input');
      return { link: keeper.link.buffer, close: () => keeper.close() };
    },
  },
  list: ({ root }) => listSerial(root),
};
