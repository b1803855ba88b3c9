import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { npmSongs } from '../support/package-songs.ts';
import { runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'wirepit-check-pty-'));
  for (let copy = 0; copy < 6; copy++) {
    npmSongs().forEach(({ bytes }, i) => {
      writeFileSync(join(folder, `${copy}-${i}.mid`), bytes);
    });
  }
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('a folder is checked with a progress bar, which is gone when the table comes', async () => {
  const run = runInPty(process.execPath, [WIREPIT, 'check', folder], {
    columns: 120,
    rows: 60,
    bytesPerSecond: 3000,
  });
  // A slow link: however fast the songs are checked, the bar is seen before it is wiped.
  await run.untilText(/[█░]+ \d+ of 42 songs/);
  const text = await run.untilText(/^42 songs: /m);
  expect(text).not.toContain('of 42 songs');
  expect(text.trimStart()).toMatch(/^verdict +song/);
  await run.close();
});
