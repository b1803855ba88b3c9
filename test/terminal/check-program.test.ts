import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { npmSongs } from '../support/package-songs.ts';
import { runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { tempFolder } from '../support/temp-folder.ts';

const folder = tempFolder('check-pty');
beforeAll(() => {
  for (let copy = 0; copy < 6; copy++) {
    npmSongs().forEach(({ bytes }, i) => {
      writeFileSync(join(folder, `${copy}-${i}.mid`), bytes);
    });
  }
});

test('after a folder was checked in a terminal, only the table stands there', async () => {
  // A shell stays behind: the pty of a program that has ended is closed on this side before all of it was read.
  const run = runInPty('bash', ['-c', '"$@"; read -r', 'bash', process.execPath, WIREPIT, 'check', folder], {
    columns: 120,
    rows: 60,
  });
  const text = await run.untilText(/^42 songs: /m);
  expect(text).not.toContain('of 42 songs');
  expect(text.trimStart()).toMatch(/^verdict +song/);
  run.send('\r');
  await run.untilExit();
  await run.close();
});
