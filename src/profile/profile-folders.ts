import { existsSync, readdirSync } from 'node:fs';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { configFolder } from '../files/config-folder.ts';

/** Endings of a profile and of a name document. */
export const PROFILE_ENDINGS = ['.toml', '.midnam'] as const;

/** Where instruments are looked up by name: the person's own (XDG Base Directory Specification), then those shipped. */
export function profileFolders(env: Readonly<Record<string, string | undefined>> = process.env): string[] {
  return [join(configFolder(env), 'instruments'), SHIPPED];
}

/** Names that can be given, the folders read in their order. */
export function profileNamesIn(folders: readonly string[]): string[] {
  const names = folders.flatMap((folder) => {
    if (!existsSync(folder)) return [];
    return readdirSync(folder)
      .filter((file) => PROFILE_ENDINGS.some((ending) => file.endsWith(ending)))
      .map((file) => file.slice(0, -extname(file).length));
  });
  return [...new Set(names)].sort();
}

/** `instruments/` of the package: one folder up from `dist/wirepit.js`, two from a chunk or from here. */
const SHIPPED = ['../instruments', '../../instruments']
  .map((path) => fileURLToPath(new URL(path, import.meta.url)))
  .reduce((found, path) => (existsSync(found) ? found : path));
