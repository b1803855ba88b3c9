import { closeSync, constants, openSync, readSync } from 'node:fs';
import type { SocketConstructorOpts } from 'node:net';
import { ReadStream } from 'node:tty';
import { DeviceLink } from '../device-link.ts';
import type { HowToListen, InputPort, InputSink } from '../input-port.ts';
import { serialNameOf } from './serial-name.ts';
import { keepSerialDevice } from './serial-port.ts';

/**
 * `serial:<device>[@baud]` as an input. The device is opened and set up by a keeper in the main thread (made
 * here when `how.link` names none); this reads from a descriptor of its own, in the thread that listens.
 * @throws Refusal when the device cannot be used
 */
export async function openSerialInput(text: string, how: HowToListen): Promise<InputPort> {
  const { path, wire } = serialNameOf(text);
  const kept = how.link === undefined ? await keepSerialDevice(text, how.waitForDevice, 'input') : undefined;
  const link = new DeviceLink(how.link ?? kept?.link.buffer);
  let sink: InputSink | undefined;
  let stream: ReadStream | undefined;
  let generation = 0;

  const hangUp = (): void => {
    if (stream === undefined) return;
    const old = stream;
    stream = undefined;
    old.destroy();
    sink?.lost();
  };
  const look = (): void => {
    if (sink === undefined) return;
    if (stream !== undefined && (!link.present || link.generation !== generation)) hangUp();
    if (stream !== undefined || !link.present) return;
    generation = link.generation;
    stream = openStream(path, how, (bytes) => sink?.bytes(bytes, how.clock.nowMicros()));
    if (stream === undefined) {
      link.reportGone();
      return;
    }
    const opened = stream;
    // A stream that was given up already says nothing about the device's next opening.
    const gone = (): void => {
      if (stream !== opened) return;
      link.reportGone();
      hangUp();
    };
    opened.on('error', gone);
    opened.on('close', gone);
    sink.back();
  };
  const timer = setInterval(look, LOOK_MS);
  return {
    name: `serial:${text}`,
    wire,
    paced: true,
    start(given) {
      sink = given;
      look();
      if (stream === undefined) given.lost();
    },
    async close() {
      sink = undefined;
      clearInterval(timer);
      stream?.destroy();
      stream = undefined;
      await kept?.close();
    },
  };
}

/** Undefined when the device has gone meanwhile. Reads into one buffer, over and over. */
function openStream(
  path: string,
  { clock, exact = false }: HowToListen,
  onBytes: (bytes: Uint8Array) => void,
): ReadStream | undefined {
  let fd = -1;
  let latest = Number.NEGATIVE_INFINITY;
  try {
    fd = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
    const buffer = Buffer.allocUnsafeSlow(4096);
    const callback = (count: number): boolean => {
      onBytes(buffer.subarray(0, count));
      if (!exact) return true;
      const begin = clock.nowMicros();
      const wasIdle = begin - latest > REST_MICROS;
      latest = begin;
      while (wasIdle && clock.nowMicros() < Math.min(latest + NEXT_BYTE_MICROS, begin + REST_MICROS)) {
        const more = readNow(fd, buffer);
        if (more === 0) continue;
        latest = clock.nowMicros();
        onBytes(buffer.subarray(0, more));
      }
      return true;
    };
    const options = { onread: { buffer, callback } } as SocketConstructorOpts;
    const stream = new ReadStream(fd, options);
    fd = keptDescriptor(stream, fd);
    stream.resume();
    return stream;
  } catch {
    if (fd >= 0) closeSync(fd);
    return undefined;
  }
}

/**
 * The stream opens a terminal device once more for itself (libuv, `uv_tty_init`), and closes only that. The first one
 * would hold a device that was pulled out, so that it could not come back under its name.
 */
function keptDescriptor(stream: ReadStream, given: number): number {
  const own = (stream as unknown as { _handle?: { fd?: number } })._handle?.fd ?? given;
  if (own !== given && own >= 0) closeSync(given);
  return own;
}

/** 0 where there is nothing yet; what else goes wrong the stream finds out for itself. */
function readNow(fd: number, into: Uint8Array): number {
  try {
    return readSync(fd, into);
  } catch {
    return 0;
  }
}

const REST_MICROS = 4000;
/** Two bytes of a 31,250-baud wire. */
const NEXT_BYTE_MICROS = 640;
/** The keeper looks every half second; its word need not wait long. */
const LOOK_MS = 100;
