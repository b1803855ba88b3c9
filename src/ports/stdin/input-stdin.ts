import { fstatSync, read } from 'node:fs';
import { Socket } from 'node:net';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import type { HowToListen, InputPort } from '../input-port.ts';

/**
 * `stdin` or `-`: bytes from standard input, as they come, until it is closed.
 * @param fd the descriptor that stands for it
 */
export function openStdinInput(how: HowToListen, fd = 0): InputPort {
  let stop: (() => Promise<void> | undefined) | undefined;
  return {
    name: 'stdin',
    wire: MIDI_WIRE,
    paced: false,
    start(sink) {
      sink.back();
      const takers: Takers = {
        bytes: (bytes) => sink.bytes(bytes, how.clock.nowMicros()),
        ended: (error) =>
          sink.ended(error && `standard input cannot be read (${error.code}), so nothing more is heard`),
      };
      stop = isPipe(fd) ? readPipe(fd, takers) : readOther(fd, takers);
    },
    async close() {
      await stop?.();
      stop = undefined;
    },
  };
}

interface Takers {
  bytes(bytes: Uint8Array): void;
  ended(error?: NodeJS.ErrnoException): void;
}

function isPipe(fd: number): boolean {
  try {
    const stats = fstatSync(fd);
    return stats.isFIFO() || stats.isSocket();
  } catch {
    return false;
  }
}

/** Bytes are told when they are there. Not process.stdin, which in a worker thread goes round by the main thread. */
function readPipe(fd: number, { bytes, ended }: Takers): () => undefined {
  const socket = new Socket({ fd, readable: true, writable: false });
  socket.on('data', bytes);
  socket.on('end', ended);
  socket.on('error', ended);
  return () => {
    socket.removeAllListeners();
    socket.on('error', () => {}); // of no more interest
    socket.destroy();
    return undefined;
  };
}

/**
 * A file, a device, a terminal. Whoever gave it to us may have made it non-blocking: then an error says "nothing yet"
 * (read(2): EAGAIN), and it is asked again.
 * @returns ends it. A read under way is waited for where it answers at once: late, it would take from whatever has the
 *   descriptor's number by then.
 */
function readOther(fd: number, { bytes, ended }: Takers): () => Promise<void> | undefined {
  const buffer = Buffer.allocUnsafeSlow(4096);
  let timer: NodeJS.Timeout | undefined;
  let isStopped = false;
  let isAsked = false;
  let answersAtOnce = false;
  let answered: (() => void) | undefined;
  const ask = (): void => {
    isAsked = true;
    read(fd, buffer, 0, buffer.length, null, taken);
  };
  const taken = (error: NodeJS.ErrnoException | null, count: number): void => {
    isAsked = false;
    answered?.();
    if (isStopped) return;
    if (error?.code === 'EAGAIN' || error?.code === 'EINTR') {
      answersAtOnce ||= error.code === 'EAGAIN';
      timer = setTimeout(ask, ASK_MS);
    } else if (error !== null) ended(error);
    else if (count === 0) ended();
    else {
      bytes(buffer.subarray(0, count));
      ask();
    }
  };
  ask();
  return () => {
    isStopped = true;
    clearTimeout(timer);
    if (!isAsked || !answersAtOnce) return undefined;
    return new Promise((resolve) => {
      answered = resolve;
    });
  };
}

const ASK_MS = 1;
