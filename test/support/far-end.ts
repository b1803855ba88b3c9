import { closeSync, constants, openSync, readSync } from 'node:fs';
import { until } from './pty-pair.ts';

/** The receiving end of a device or FIFO, read without blocking. */
export interface FarEnd {
  /** Everything that came, once at least `count` bytes are there. */
  received(count: number): Promise<Uint8Array>;
  close(): void;
}

export function farEnd(path: string): FarEnd {
  const fd = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
  const bytes: number[] = [];
  const scratch = new Uint8Array(4096);
  const poll = () => {
    try {
      for (let got = -1; got !== 0; ) {
        got = readSync(fd, scratch);
        bytes.push(...scratch.subarray(0, got));
      }
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code !== 'EAGAIN' && code !== 'EIO') throw error; // EIO: the pty is gone
    }
    return bytes.length;
  };
  return {
    async received(count) {
      await until(() => poll() >= count, `${count} bytes at ${path}`);
      return Uint8Array.from(bytes);
    },
    close: () => closeSync(fd),
  };
}
