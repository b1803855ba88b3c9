import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';
import { Socket } from 'node:net';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import { diskPath } from '../../files/disk-path.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { HowToListen, InputPort, InputSink } from '../input-port.ts';
import { rawReason } from './raw-port.ts';

/**
 * `raw:<device or FIFO>` as an input. A FIFO is held open for writing as well, so that it does not end whenever
 * a writer leaves; a device that fails is looked for until it is back.
 */
export async function openRawInput(path: string, how: HowToListen): Promise<InputPort> {
  const name = `raw:${path}`;
  let source = openSource(path);
  if (typeof source === 'string') {
    const reason = rawReason(path, { code: source });
    if (!how.waitForDevice || !reason.mayCome) throw new Refusal(reason.what, name, reason.nextStep);
  }
  let sink: InputSink | undefined;
  const lost = (): void => {
    if (typeof source !== 'string') source.close();
    source = 'ENOENT';
    sink?.lost();
  };
  const begin = (): void => {
    if (typeof source === 'string') return;
    sink?.back();
    source.read((bytes) => sink?.bytes(bytes, how.clock.nowMicros()), lost);
  };
  const timer = setInterval(() => {
    if (typeof source !== 'string' || sink === undefined) return;
    source = openSource(path);
    begin();
  }, WATCH_MS);
  return {
    name,
    wire: MIDI_WIRE,
    paced: false,
    start(given) {
      sink = given;
      if (typeof source === 'string') given.lost();
      else begin();
    },
    async close() {
      sink = undefined;
      clearInterval(timer);
      if (typeof source !== 'string') source.close();
      source = 'ENOENT';
    },
  };
}

interface Source {
  read(onBytes: (bytes: Uint8Array) => void, onEnd: () => void): void;
  close(): void;
}

/** An open source, or the code of the error. */
function openSource(path: string): Source | string {
  let fd = -1;
  try {
    fd = openSync(diskPath(path), constants.O_RDONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
    const stat = fstatSync(fd);
    if (stat.isFIFO()) {
      closeSync(fd);
      return fifoSource(openSync(diskPath(path), constants.O_RDWR | constants.O_NONBLOCK));
    }
    if (stat.isCharacterDevice()) return deviceSource(fd);
    closeSync(fd);
    return stat.isDirectory() ? 'EISDIR' : 'ORDINARY';
  } catch (error) {
    return (error as NodeJS.ErrnoException).code ?? 'EIO';
  }
}

function fifoSource(fd: number): Source {
  const socket = new Socket({ fd, readable: true, writable: false });
  return {
    read(onBytes, onEnd) {
      socket.on('data', onBytes);
      socket.on('error', onEnd);
      socket.on('end', onEnd);
    },
    close: () => socket.destroy(),
  };
}

/** The event loop cannot wait for every kind of character device, so it is asked: often while bytes come. */
function deviceSource(fd: number): Source {
  let timer: NodeJS.Timeout | undefined;
  let open = true;
  const scratch = Buffer.alloc(4096);
  return {
    read(onBytes, onEnd) {
      let quiet = 0;
      const ask = (): void => {
        const count = readNow(fd, scratch);
        if (count === GONE) {
          onEnd();
          return;
        }
        quiet = count > 0 ? 0 : quiet + 1;
        if (count > 0) onBytes(Uint8Array.from(scratch.subarray(0, count)));
        if (open) timer = setTimeout(ask, quiet < IDLE_AFTER ? BUSY_MS : IDLE_MS);
      };
      ask();
    },
    close() {
      if (!open) return;
      open = false;
      clearTimeout(timer);
      closeSync(fd);
    },
  };
}

/** Bytes read now, 0 where there are none, or GONE. */
function readNow(fd: number, into: Uint8Array): number {
  try {
    return readSync(fd, into) || GONE;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    return code === 'EAGAIN' || code === 'EINTR' ? 0 : GONE;
  }
}

const GONE = -1;
const WATCH_MS = 500;
const BUSY_MS = 1;
const IDLE_MS = 5;
/** Asked in vain for half a second: nobody is playing. */
const IDLE_AFTER = 500;
