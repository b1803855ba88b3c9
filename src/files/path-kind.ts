import { statSync } from 'node:fs';
import { diskPath } from './disk-path.ts';

export type PathKind = 'file' | 'folder' | 'other' | 'none' | 'out-of-reach';

/**
 * What a path leads to. Never throws: what is out of reach (links in a circle, no permission, a name too long) is
 * refused, with the reason, by whoever opens it.
 */
export function pathKind(path: string): PathKind {
  try {
    const stats = statSync(diskPath(path), { throwIfNoEntry: false });
    if (stats === undefined) return 'none';
    return stats.isFile() ? 'file' : stats.isDirectory() ? 'folder' : 'other';
  } catch {
    return 'out-of-reach';
  }
}
