import { spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { NEED_WORDS } from '../../src/screen/keys/key-mode.ts';
import { KEY_TABLE } from '../../src/screen/keys/key-table.ts';
import { type PtyRun, runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { bytesOf } from '../support/stream-log.ts';
import { tempFolder } from '../support/temp-folder.ts';

const folder = tempFolder('listen-keys');
const opened: PtyRun[] = [];
const descriptors: number[] = [];
afterEach(async () => {
  for (const run of opened.splice(0)) await run.close();
  for (const descriptor of descriptors.splice(0)) closeSync(descriptor);
});

function fifo(name: string): { readonly path: string; readonly descriptor: number } {
  const path = join(folder, name);
  spawnSync('mkfifo', [path]);
  const descriptor = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
  descriptors.push(descriptor);
  return { path, descriptor };
}

/** The built program listening to a FIFO on which two notes hang, with the help of its mode open. */
async function listening(name: string, ...args: string[]): Promise<PtyRun> {
  const { path, descriptor } = fifo(name);
  const run = runInPty(process.execPath, [WIREPIT, 'listen', '--from', `raw:${path}`, ...args], {
    columns: 100,
    rows: 50,
  });
  opened.push(run);
  await run.untilText('listening to');
  writeSync(descriptor, bytesOf('90 3C 40 91 40 40'));
  await run.untilText('2 messages');
  return run;
}

/** What xterm sends for a key that is more than its letter (its control-sequence documentation). */
const SENT: Readonly<Record<string, string>> = {
  space: ' ',
  left: '\u001b[D',
  right: '\u001b[C',
  home: '\u001b[H',
  end: '\u001b[F',
};

/** Presses a key and waits for the words it is answered with. */
async function pressed(run: PtyRun, key: string, words: string): Promise<void> {
  // A number that waits is shown in the place of the words: what stands there afterwards is this key's answer.
  run.send('7');
  await run.untilText('7_');
  run.send(SENT[key] ?? key);
  await run.untilText(words);
}

it('only listening: the help is without the keys of a song and of an output, and those say why', async () => {
  const run = await listening('only');
  expect(run.text()).not.toMatch(/space play|m mute|s solo/);
  run.send('?');
  const help = await run.untilText('these keys');
  expect(help).not.toMatch(/play or pause|tempo|transpose|to bar|solo|mute|silence everything/);
  expect(help).toContain('everything off the list');
  run.send('\u001b');
  await run.until((text) => !text.includes('these keys'), 'the lanes again');
  const needing = KEY_TABLE.filter((row) => row.needs !== undefined && row.only === undefined);
  expect(needing.length).toBeGreaterThan(30);
  // A song's own time is no affair of an input either.
  for (const { keys, needs } of needing)
    for (const key of keys) await pressed(run, key, NEED_WORDS[needs === 'time' ? 'song' : needs!]);
  expect(run.text()).toContain('▸ 1'); // nothing muted, nothing opened
  run.send('l');
  await run.untilText('esc closes');
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
});

it('with --thru mute and solo work, and the keys of a song still say why not', async () => {
  const thru = fifo('thru');
  const run = await listening('from', '--thru', `raw:${thru.path}`);
  run.send('?');
  const help = await run.untilText('these keys');
  expect(help).not.toMatch(/play or pause|tempo|transpose|to bar/);
  expect(help).toMatch(/silence everything[\s\S]*mute or not/);
  run.send('\u001b');
  await run.until((text) => !text.includes('these keys'), 'the lanes again');
  run.send('m');
  await run.untilText('▸ 1M');
  for (const { keys, needs, only } of KEY_TABLE)
    if (needs === 'song' && only === undefined) await pressed(run, keys[0]!, NEED_WORDS.song);
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
});
