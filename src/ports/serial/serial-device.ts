import { statSync } from 'node:fs';
import { isMainThread } from 'node:worker_threads';
import type { SerialPort } from 'serialport';
import { Refusal } from '../../trouble/refusal.ts';
import { accessOf, groupAdvice } from '../device-access.ts';
import { isBaudClose } from './baud-tolerance.ts';

/** The part of the library that is used, so that tests can put a fake in its place. */
export type SerialLibrary = Pick<typeof import('serialport'), 'SerialPort'>;

/** Loaded only when wanted: a native module is not free to load. */
const loadSerialLibrary = (): Promise<SerialLibrary> => import('serialport');

/** What a serial device tells whoever keeps it. */
export interface SerialListener {
  opened(): void;
  lost(): void;
}

/**
 * Opens a UART through the serialport library, sets its baud rate, watches it, and opens it again when it
 * comes back. Main thread only: the library waits on Node's first event loop, whichever thread asks, and brings
 * the process down from any other (tried, 13.0.0).
 */
export class SerialDevice {
  #port: SerialPort | undefined;
  #watch: NodeJS.Timeout | undefined;
  #opening = false;
  #closed = false;
  /** Device number of the opened node: a replugged device may have the same name and another number. */
  #deviceNumber = -1;

  readonly #listener: SerialListener;
  /** Read and throw away what comes in: for an output alone nothing else notices a hang-up. */
  readonly #drain: boolean;
  /** True when somebody else saw a write fail. */
  readonly #suspected: () => boolean;
  readonly #load: () => Promise<SerialLibrary>;

  constructor(
    readonly path: string,
    readonly baud: number,
    listener: SerialListener,
    drain: boolean,
    suspected: () => boolean,
    load: () => Promise<SerialLibrary> = loadSerialLibrary,
  ) {
    this.#listener = listener;
    this.#drain = drain;
    this.#suspected = suspected;
    this.#load = load;
    if (!isMainThread) throw new Error('a serial device is kept by the main thread');
  }

  /** Opens now and watches from now on. Throws a refusal unless waiting for the device is allowed and helps. */
  async open(waitForDevice: boolean): Promise<void> {
    try {
      await this.#open();
    } catch (error) {
      // Waiting mends an absent device, and nothing else.
      if (!waitForDevice || error instanceof Refusal || accessOf(this.path) !== 'absent')
        throw this.#refusal(error as Error);
    }
    this.#watch = setInterval(() => this.#look(), WATCH_MS);
  }

  async close(): Promise<void> {
    this.#closed = true;
    clearInterval(this.#watch);
    await this.#shut();
  }

  async #open(): Promise<void> {
    const { SerialPort: Opener } = await this.#load().catch((error: Error) => {
      throw new Refusal(notLoaded(error), `serial:${this.path}`, INSTALL_AGAIN);
    });
    const port = new Opener({ path: this.path, baudRate: this.baud, autoOpen: false });
    await new Promise<void>((resolve, reject) => {
      port.open((error) => (error ? reject(error) : resolve()));
    });
    // From here on an error is followed by `close`, or seen by the watch.
    port.on('error', () => {});
    if (this.#drain) port.resume();
    port.once('close', () => this.#gone(port));
    if (this.#closed) {
      port.close();
      return;
    }
    this.#port = port;
    this.#deviceNumber = deviceNumberOf(this.path);
    await this.#checkBaud(port);
    this.#listener.opened();
  }

  /** A UART that cannot make the rate takes the nearest. */
  async #checkBaud(port: SerialPort): Promise<void> {
    const binding = port.port as unknown as { getBaudRate?(): Promise<{ baudRate: number }> } | undefined;
    const told = await binding?.getBaudRate?.().catch(() => undefined);
    if (told === undefined || isBaudClose(told.baudRate, this.baud)) return;
    await this.#shut();
    throw new Refusal(
      `this UART makes ${told.baudRate} baud where ${this.baud} is asked for`,
      `serial:${this.path}`,
      `name a rate it can make (serial:${this.path}@${told.baudRate}) if the far end can be set to it`,
    );
  }

  #gone(port: SerialPort): void {
    if (this.#port !== port) return;
    this.#port = undefined;
    if (!this.#closed) this.#listener.lost();
  }

  #look(): void {
    if (this.#port === undefined) {
      if (this.#opening || accessOf(this.path) !== 'ok') return;
      this.#opening = true;
      this.#open()
        .catch(() => {}) // not yet: the next look tries again
        .finally(() => {
          this.#opening = false;
        });
    } else if (this.#suspected() || deviceNumberOf(this.path) !== this.#deviceNumber) {
      void this.#shut();
    }
  }

  async #shut(): Promise<void> {
    const port = this.#port;
    if (port === undefined) return;
    this.#gone(port);
    await new Promise<void>((resolve) => {
      if (port.isOpen) port.close(() => resolve());
      else resolve();
    });
  }

  #refusal(error: Error): Refusal {
    if (error instanceof Refusal) return error;
    const where = `serial:${this.path}`;
    const access = accessOf(this.path);
    if (access === 'absent') {
      return new Refusal('there is no such device', where, '`wirepit ports` lists what is here');
    }
    if (access === 'no-permission') return new Refusal('no permission', where, groupAdvice(this.path));
    if (/lock/i.test(error.message)) {
      return new Refusal('another program has it open', where, 'close that program');
    }
    const what = error.message.replace(/^Error:? /, '');
    return new Refusal(what, where, 'check that it is a serial port');
  }
}

/** How often the device is looked for. Half a second of a missing device is not heard as longer than one. */
const WATCH_MS = 500;

function deviceNumberOf(path: string): number {
  return statSync(path, { throwIfNoEntry: false })?.rdev ?? -1;
}

/** The library has a native part: where npm found none for this processor, it left the whole library out. */
function notLoaded({ message }: Error): string {
  return `the serial library cannot be loaded (${message.split('\n')[0]})`;
}

const INSTALL_AGAIN =
  'install wirepit again (docs/install.md names the processors), or use raw: on a line set up by stty';
