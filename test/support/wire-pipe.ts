import { execFileSync } from 'node:child_process';
import { constants, openSync } from 'node:fs';
import { Socket } from 'node:net';
import { WAIT_MILLIS } from './wait-millis.ts';
import { WireReader } from './wire-reader.ts';

/**
 * A named pipe as the wire, for `--port raw:<path>`: what the program sends is here when it is sent. It is open
 * on this side before the program opens it, since a pipe without a reader refuses, and for writing too, or it
 * would end each time the program closes it.
 */
export class WirePipe {
  readonly reader = new WireReader();
  /** When the latest byte came, on `performance`'s clock. */
  lastByteMillis = 0;
  readonly #watchers = new Set<(bytes: Buffer) => void>();
  readonly #socket: Socket;

  constructor(readonly path: string) {
    execFileSync('mkfifo', [path]);
    const descriptor = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
    this.#socket = new Socket({ fd: descriptor, readable: true, writable: false });
    this.#socket.on('data', (bytes: Buffer) => {
      this.lastByteMillis = performance.now();
      this.reader.read(bytes);
      for (const watcher of [...this.#watchers]) watcher(bytes);
    });
  }

  /** Settles as soon as bytes come that make it so. */
  until(
    isSo: (reader: WireReader) => boolean,
    what: string,
    timeoutMillis = WAIT_MILLIS,
  ): Promise<WireReader> {
    return new Promise((done, fail) => {
      const check = () => {
        if (!isSo(this.reader)) return;
        clearTimeout(timeout);
        this.#watchers.delete(check);
        done(this.reader);
      };
      const timeout = setTimeout(() => {
        this.#watchers.delete(check);
        fail(new Error(`the wire was never so: ${what}`));
      }, timeoutMillis);
      this.#watchers.add(check);
      check();
    });
  }

  /** Settles with the next bytes. */
  next(timeoutMillis = WAIT_MILLIS): Promise<Buffer> {
    return new Promise((done, fail) => {
      const take = (bytes: Buffer) => {
        clearTimeout(timeout);
        this.#watchers.delete(take);
        done(bytes);
      };
      const timeout = setTimeout(() => {
        this.#watchers.delete(take);
        fail(new Error(`nothing came on the wire in ${timeoutMillis} ms`));
      }, timeoutMillis);
      this.#watchers.add(take);
    });
  }

  close(): void {
    this.#socket.destroy();
  }
}
