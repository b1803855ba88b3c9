import { existsSync } from 'node:fs';
import { stringify } from 'smol-toml';
import { readToml } from '../files/toml/read-toml.ts';
import { writeSafely } from '../files/write-safely.ts';
import { KEPT_SCHEMA, type SongSettings } from './set-schema.ts';

/** `harvest.toml` → `harvest.kept.toml`: what is kept from the screen never goes into a person's own text. */
export function keptPathOf(setPath: string): string {
  return `${setPath.replace(/\.toml$/i, '')}.kept.toml`;
}

const HEAD = `# Settings kept from the screen. They lie over those of the set beside this file; take an entry
# away to have the set's own again.

`;

/**
 * Keeps a song's settings beside the set, in place of those kept for it before.
 * @param file the song as the set names it
 * @returns where
 * @throws {Refusal} when the file cannot be written; a kept file that cannot be read is left as it is and said so
 */
export function keepSettings(setPath: string, file: string, settings: SongSettings): string {
  const path = keptPathOf(setPath);
  const before = existsSync(path) ? readToml(path, KEPT_SCHEMA).value : {};
  const others = (before.song ?? []).filter((song) => song.file !== file);
  // The screen has no volume to keep: one that somebody wrote there stays.
  const volume = before.song?.find((song) => song.file === file)?.volume;
  const kept = volume === undefined ? settings : { volume, ...settings };
  writeSafely(path, `${HEAD}${stringify({ song: [...others, { file, ...kept }] })}\n`);
  return path;
}
