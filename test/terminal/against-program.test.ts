import { spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, readFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { type PtyRun, runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { songMessages } from '../support/song-messages.ts';
import { tempFolder } from '../support/temp-folder.ts';

const SONG = 'songs/night-ferry.mid';
const folder = tempFolder('against');
const closing: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0)) await close();
});

/** Place, counts and cause, and the lanes; what a clock can move is in the rows below, and in the marks of notes that hang. */
const withoutClock = (text: string) =>
  text
    .split('\n')
    .slice(0, 20)
    .map((line) =>
      line
        .replace(/raw:.*/, 'raw:…')
        .replace('!', ' ')
        .trimEnd(),
    )
    .join('\n');

/**
 * All bytes at once: no clock is in it, and what is told is told of the order alone. The first half of the song without its
 * fiftieth note.
 */
it('held against a song on the screen: place, what is not as written and why, the log; then the page, and exit 1', async () => {
  const path = join(folder, 'in');
  spawnSync('mkfifo', [path]);
  const descriptor = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
  closing.push(() => closeSync(descriptor));
  const messages = songMessages(readFileSync(SONG));
  const ons = messages.flatMap((bytes, n) => ((bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0 ? [n] : []));
  const lost = ons[50]!;
  const middle = ons[130]!;
  const run: PtyRun = runInPty(
    process.execPath,
    [WIREPIT, 'listen', '--from', `raw:${path}`, '--against', SONG],
    { columns: 80, rows: 24 },
  );
  closing.unshift(() => run.close());
  await run.untilText('waiting for the song');
  writeSync(descriptor, Buffer.concat(messages.slice(0, middle).filter((_, n) => n !== lost)));
  await run.untilText(/^ \d+:\d .* as written, 1 missing, 0 added, 0 changed/m);
  await run.untilText('there is no timing');
  // What was just let go is shown for a moment as a low dot.
  await run.until((screen) => !/[⡀⢀⣀⣄⣆⣠⣰]/.test(screen), 'lanes at rest');
  await run.untilQuiet(400);
  const text = withoutClock(run.text());
  await expect(`${text}\n`).toMatchFileSnapshot('golden/against-80x24.screen');
  run.send('l');
  await run.untilText(/\d+:\d missing: [A-G]#?\d on channel \d/);
  run.send('l');
  run.send('q');
  const { code } = await run.untilExit();
  expect(code).toBe(1);
  expect(run.text()).toMatch(/is missing|and \d+ more/);
});
