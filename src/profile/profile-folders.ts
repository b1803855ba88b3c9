import { existsSync, readdirSync } from 'node:fs';
import { extname, join } from 'node:path';
import { configFolder } from '../files/config-folder.ts';
import { shippedFolder } from '../files/shipped-folder.ts';

/** Endings of a profile and of a name document. */
export const PROFILE_ENDINGS = ['.toml', '.midnam'] as const;

/** Where instruments are looked up by name: the person's own (XDG Base Directory Specification), then those shipped. */
export function profileFolders(env: Readonly<Record<string, string | undefined>> = process.env): string[] {
  return [join(configFolder(env), 'instruments'), shippedFolder('instruments')];
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
