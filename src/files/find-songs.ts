import { readdirSync, realpathSync } from 'node:fs';
import { extname, join } from 'node:path';
import { Refusal } from '../trouble/refusal.ts';
import { diskPath } from './disk-path.ts';
import { pathKind } from './path-kind.ts';
import { pathText } from './path-text.ts';

const SONG_ENDINGS = new Set(['.mid', '.midi', '.kar', '.rmi', '.smf']);

/** Deeper folders are not entered: no collection is laid like that, and a strange file system must not hold us. */
const DEEPEST = 32;

export interface FoundSongs {
  /** In natural order (track 2 before track 10), folder by folder. */
  readonly paths: readonly string[];
  /** Folders that could not be read or lie too deep. */
  readonly unreadFolders: readonly string[];
}

/**
 * Song files in a folder and the folders below it, known by the ending of their names. Hidden names are left
 * out; a link to a folder is followed once.
 * @throws {Refusal} when the folder itself cannot be read
 */
export function findSongs(folder: string): FoundSongs {
  const paths: string[] = [];
  const unreadFolders: string[] = [];
  const visited = new Set<string>();
  const byName = new Intl.Collator('en', { numeric: true });

  function enter(at: string, depth: number): void {
    const entries = depth > DEEPEST ? undefined : entriesOf(at, visited);
    if (entries === undefined) {
      unreadFolders.push(at);
      return;
    }
    const shown = entries.filter(({ name }) => !name.startsWith('.'));
    shown.sort((a, b) => byName.compare(a.name, b.name) || (a.name < b.name ? -1 : 1));
    for (const { name, kind } of shown) {
      const path = join(at, name);
      const leadsTo = kind === 'link' ? pathKind(path) : kind;
      if (leadsTo === 'folder') enter(path, depth + 1);
      else if (leadsTo === 'file' && SONG_ENDINGS.has(extname(name).toLowerCase())) paths.push(path);
    }
  }

  enter(folder, 0);
  if (unreadFolders[0] === folder) {
    throw new Refusal('the folder cannot be read', folder, 'check the path and its permissions');
  }
  return { paths, unreadFolders };
}

interface Entry {
  readonly name: string;
  readonly kind: 'file' | 'folder' | 'link' | 'other';
}

/** @returns undefined when the folder cannot be read, nothing when it was visited before under another name */
function entriesOf(folder: string, visited: Set<string>): Entry[] | undefined {
  try {
    const real = pathText(realpathSync.native(diskPath(folder), { encoding: 'buffer' }));
    if (visited.has(real)) return [];
    visited.add(real);
    const entries = readdirSync(diskPath(folder), { withFileTypes: true, encoding: 'buffer' });
    return entries.map((entry) => ({
      name: pathText(entry.name),
      kind: entry.isFile()
        ? 'file'
        : entry.isDirectory()
          ? 'folder'
          : entry.isSymbolicLink()
            ? 'link'
            : 'other',
    }));
  } catch {
    return undefined;
  }
}
