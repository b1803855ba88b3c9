import { keepSerialDevice } from './serial/serial-port.ts';

/** The half of an input that must live in the main thread: see `KeptOutput`. */
export interface KeptInput {
  /** Of a `DeviceLink`; undefined for inputs that need no keeper. An output to the same device uses it too. */
  readonly link?: SharedArrayBuffer;
  close(): Promise<void>;
}

/**
 * @param spec as on the command line
 * @throws Refusal when the device cannot be used
 */
export async function keepInput(spec: string, waitForDevice: boolean): Promise<KeptInput> {
  if (!spec.startsWith('serial:')) return { async close() {} };
  const keeper = await keepSerialDevice(spec.slice('serial:'.length), waitForDevice, 'input');
  return { link: keeper.link.buffer, close: () => keeper.close() };
}
