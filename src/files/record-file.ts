import { closeSync, fdatasync, ftruncateSync, openSync, rmSync, writeSync } from 'node:fs';
import { Refusal } from '../trouble/refusal.ts';
import { diskPath } from './disk-path.ts';
import { writeTrouble } from './write-trouble.ts';

/** A new file that is written at given places. The first error ends the writing and is kept as `trouble`. */
export class RecordFile {
  trouble: string | undefined;
  #fd: number;
  #syncing = false;

  /** Throws a refusal when the file is there already (a record is never written over) or cannot be made. */
  constructor(readonly path: string) {
    try {
      this.#fd = openSync(diskPath(path), 'wx');
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code === 'EEXIST') {
        throw new Refusal('the file exists already', path, 'choose a new name, or remove the file');
      }
      throw new Refusal(`cannot be written (${code})`, path, 'choose a folder you may write to');
    }
  }

  /** @returns how many of the bytes are in the file: fewer than all once there is trouble */
  write(bytes: Uint8Array, at: number): number {
    let done = 0;
    if (this.trouble !== undefined || this.#fd < 0) return done;
    try {
      while (done < bytes.length) done += writeSync(this.#fd, bytes, done, bytes.length - done, at + done);
    } catch (error) {
      this.#fail(error);
    }
    return done;
  }

  /**
   * After trouble: makes whole what is there, as far as it goes. Places that were written before can be written
   * again on a full disk.
   */
  mend(places: readonly { readonly bytes: Uint8Array; readonly at: number }[], length: number): void {
    if (this.#fd < 0) return;
    try {
      for (const { bytes, at } of places) writeSync(this.#fd, bytes, 0, bytes.length, at);
      ftruncateSync(this.#fd, length);
    } catch {
      // what was wrong is told already
    }
  }

  /** Asks the system to bring it to the disk, in its own time: a power cut then costs little as well. */
  sync(): void {
    if (this.#syncing || this.#fd < 0) return;
    this.#syncing = true;
    fdatasync(this.#fd, (error) => {
      this.#syncing = false;
      // What the system could not bring to the disk after all. Closed meanwhile is well, and so is a file that has no disk.
      if (error && error.code !== 'EBADF' && error.code !== 'EINVAL') this.#fail(error);
    });
  }

  close(): void {
    if (this.#fd < 0) return;
    const fd = this.#fd;
    this.#fd = -1;
    try {
      closeSync(fd);
    } catch (error) {
      this.#fail(error);
    }
  }

  /** Closes it and takes it away. */
  remove(): void {
    if (this.#fd < 0) return;
    this.close();
    rmSync(diskPath(this.path), { force: true });
  }

  #fail(error: unknown): void {
    this.trouble ??= writeTrouble((error as NodeJS.ErrnoException).code);
  }
}
