import { closeSync, fdatasync, openSync, rmSync, writeSync } from 'node:fs';
import { Refusal } from '../trouble/refusal.ts';

/** A new file that is written at given places. The first error ends the writing and is kept as `trouble`. */
export class RecordFile {
  trouble: string | undefined;
  #fd: number;
  #syncing = false;

  /** Throws a refusal when the file is there already (a record is never written over) or cannot be made. */
  constructor(readonly path: string) {
    try {
      this.#fd = openSync(path, 'wx');
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code === 'EEXIST') {
        throw new Refusal('the file exists already', path, 'choose a new name, or remove the file');
      }
      throw new Refusal(`cannot be written (${code})`, path, 'choose a folder you may write to');
    }
  }

  write(bytes: Uint8Array, at: number): void {
    if (this.trouble !== undefined || this.#fd < 0) return;
    try {
      for (let done = 0; done < bytes.length; ) {
        done += writeSync(this.#fd, bytes, done, bytes.length - done, at + done);
      }
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      this.trouble = code === 'ENOSPC' ? 'the disk is full' : `writing failed (${code})`;
    }
  }

  /** Asks the system to bring it to the disk, in its own time: a power cut then costs little as well. */
  sync(): void {
    if (this.#syncing || this.#fd < 0) return;
    this.#syncing = true;
    fdatasync(this.#fd, () => {
      this.#syncing = false;
    });
  }

  close(): void {
    if (this.#fd < 0) return;
    const fd = this.#fd;
    this.#fd = -1;
    try {
      closeSync(fd);
    } catch {
      this.trouble ??= 'closing failed';
    }
  }

  /** Closes it and takes it away. */
  remove(): void {
    if (this.#fd < 0) return;
    this.close();
    rmSync(this.path, { force: true });
  }
}
