import { existsSync } from 'node:fs';
import { basename, dirname, relative, resolve } from 'node:path';
import { stringify } from 'smol-toml';
import { checkFile } from '../../check/check-file.ts';
import { CHECK_DEFAULTS } from '../../core/report/check-options.ts';
import { writeSafely } from '../../files/write-safely.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { songSetOf } from '../options/song-set.ts';

/**
 * Writes a set from the songs of a folder. What check found stands above each song as a remark; songs that cannot be
 * read are left out and told.
 */
export function newSet(path: string, folder: string): void {
  if (existsSync(path))
    throw new Refusal('the file exists already', path, 'choose a new name, or remove the file');
  const songs = songSetOf([folder]).paths;
  if (songs.length === 0)
    throw new Refusal('there is no song in this folder', folder, 'name one with .mid files in it');
  const home = dirname(resolve(path));
  const parts = [
    `# A set for \`wirepit show\` (docs/show.md). Songs are played in this order; take lines away, or move them.\n`,
    stringify({ set: { name: basename(path).replace(/\.toml$/i, ''), loop: true, 'gap-seconds': 3 } }),
  ];
  let count = 0;
  for (const song of songs) {
    const check = checkFile(song, CHECK_DEFAULTS);
    if (check.verdict === 'unreadable') {
      process.stderr.write(`left out: ${song}: ${check.error.what}\n`);
      continue;
    }
    const remarks = check.problems.slice(0, MOST_REMARKS).map(({ text }) => `# ${cleanText(text)}\n`);
    parts.push(`\n${remarks.join('')}${stringify({ song: [{ file: relative(home, resolve(song)) }] })}`);
    count += 1;
  }
  if (count === 0)
    throw new Refusal('no song of this folder can be read', folder, '`wirepit check` says more');
  writeSafely(path, `${parts.join('')}`);
  process.stderr.write(
    `${path}: ${count} ${count === 1 ? 'song' : 'songs'}; play it with wirepit show ${path}\n`,
  );
}

const MOST_REMARKS = 4;
