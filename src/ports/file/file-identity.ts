import { lstatSync, readlinkSync, realpathSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { diskPath } from '../../files/disk-path.ts';
import { pathText } from '../../files/path-text.ts';

/**
 * Says which ordinary file a path leads to, so that two names of one file (links of both kinds, `./`) are known as one:
 * by device and inode (POSIX.1, <sys/stat.h>: together they identify a file), or, where no file is there yet, by the
 * place where one would be made. Undefined for what is no ordinary file, a device or a FIFO say, and for what cannot be
 * reached: whoever opens it tells why.
 */
export function fileIdentity(path: string): string | undefined {
  try {
    const stats = statSync(diskPath(path), { throwIfNoEntry: false, bigint: true });
    if (stats === undefined) return placeOf(path);
    return stats.isFile() ? `${stats.dev}:${stats.ino}` : undefined;
  } catch {
    return undefined;
  }
}

/** A link to nowhere is made where it points to; links that go round are told before, as what cannot be reached. */
function placeOf(path: string): string {
  const stats = lstatSync(diskPath(path), { throwIfNoEntry: false });
  if (stats?.isSymbolicLink() !== true) {
    const folder = realpathSync(diskPath(dirname(resolve(path))), 'buffer');
    return join(pathText(folder), basename(path));
  }
  return placeOf(resolve(dirname(path), pathText(readlinkSync(diskPath(path), 'buffer'))));
}
