/** `npm run songs`: writes our own songs, each from the module that composes it, as .mid files beside them. */
import { writeFileSync } from 'node:fs';
import { SONGS } from './song-list.ts';

for (const { file, bytes } of SONGS) {
  const written = bytes();
  writeFileSync(new URL(file, import.meta.url), written);
  process.stdout.write(`songs/${file}: ${written.length} bytes\n`);
}
