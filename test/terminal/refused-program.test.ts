import { mkdirSync, renameSync, rmdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { type DeltaEvent, meta, songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { type ProgramRun, preparePrograms, startProgramShell } from './program-run.ts';

preparePrograms();

const folder = tempFolder('refused');

/** A minute of one held note after another. */
const songs = ['first', 'second'].map((name, channel) => {
  const events: DeltaEvent[] = [[0, meta(0x03, Buffer.from(`song ${name}`))]];
  for (let beat = 0; beat < 120; beat++) {
    events.push([0, [0x90 | channel, 60, 80]], [96, [0x80 | channel, 60, 64]]);
  }
  const path = join(folder, `${name}.mid`);
  writeFileSync(path, songBytes([events]));
  return path;
});

async function start(args = ''): Promise<ProgramRun> {
  const run = startProgramShell({ songs });
  await run.untilText('prompt>');
  run.send(`$PLAY ${args}\r`);
  await run.untilText(/song first .*▶ playing/);
  await run.wire.until((wire) => wire.sounding > 0, 'sounding');
  return run;
}

async function openSecond(run: ProgramRun): Promise<void> {
  run.send('/');
  await run.untilText(/▸ first/);
  run.send('\x1b[B');
  await run.untilText(/▸ second/);
  run.send('\r');
}

it('a port that is refused for a later song leads back to the list, with the reason and nothing sounding', async () => {
  const run = await start();
  const away = `${run.wire.path}-away`;
  renameSync(run.wire.path, away);
  await openSecond(run);
  const text = await run.untilText('there is no such device');
  expect(text).toContain('── songs');
  expect(text).toContain('raw:');
  // It is the one that is chosen.
  expect(text).toContain('▸ second');
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
  // The port is there again: the same song can be chosen again.
  renameSync(away, run.wire.path);
  run.send('\r');
  await run.untilText(/song second .*▶ playing/);
  await run.wire.until((wire) => wire.sounding > 0, 'sounding again');
  run.send('q');
  await run.wire.until((wire) => wire.sounding === 0, 'silence at the end');
  await run.untilText('prompt>');
  expect(run.terminal.isAlternateScreen).toBe(false);
});

it('so does a record that cannot be made', async () => {
  const take = join(folder, 'take.mid');
  const next = join(folder, 'take-2.mid');
  mkdirSync(next);
  const run = await start(`--record ${take}`);
  await openSecond(run);
  const text = await run.untilText('take-2.mid');
  expect(text).toContain('── songs');
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
  rmdirSync(next);
  run.send('\r');
  await run.untilText(/song second .*▶ playing/);
  run.send('q');
  await run.untilText('prompt>');
});
