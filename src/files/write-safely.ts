import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { Refusal } from '../trouble/refusal.ts';
import { writeTrouble } from './write-trouble.ts';

/**
 * Writes a small file so that after a power cut it is the old one or the new one, never a part: into a file beside
 * it, to the disk, and then renamed; the folder is brought to the disk as well (rename, POSIX.1).
 * @throws {Refusal} when it cannot be written; the old file is then as it was
 */
export function writeSafely(path: string, content: string | Uint8Array): void {
  const draft = `${path}.${process.pid}.new`;
  try {
    const fd = openSync(draft, 'w', 0o644);
    try {
      writeFileSync(fd, content);
      fsyncSync(fd);
    } finally {
      closeSync(fd);
    }
    renameSync(draft, path);
    syncFolder(dirname(path));
  } catch (error) {
    rmSync(draft, { force: true });
    const { code } = error as NodeJS.ErrnoException;
    if (code === undefined) throw error;
    throw new Refusal(writeTrouble(code), path, 'make room, or choose a folder you may write to');
  }
}

/** Some file systems do not sync a folder; the rename is then as safe as they make it. */
function syncFolder(folder: string): void {
  const fd = openSync(folder, 'r');
  try {
    fsyncSync(fd);
  } catch {
    // as above
  } finally {
    closeSync(fd);
  }
}
