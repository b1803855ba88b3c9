import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { farEnd } from '../support/far-end.ts';
import { songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { type ProgramRun, preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

const folder = tempFolder('two-ports');

function fifo(name: string): string {
  const path = join(folder, name);
  execFileSync('mkfifo', [path]);
  return path;
}

const wireRow = (run: ProgramRun) =>
  run
    .text()
    .split('\n')
    .find((line) => line.startsWith(' wire ')) ?? '';

it('two ports, one of them pulled out in mid-song: the screen says which, and so does the exit', async () => {
  const path = fifo('b');
  const module = farEnd(path);
  const run = startProgram(['--port', `b=raw:${path}`, '--map', '3-4=b']);
  await run.untilText('▶ playing');
  await run.wire.until((wire) => wire.sounding > 0, 'music on the first port');
  await run.until(
    () => /^ wire 1 .*[1-9]\d*% b .*[1-9]\d*% +plan .*peak .*backlog .*ahead ./.test(wireRow(run)),
    'both loads',
  );
  expect(run.text()).toMatch(/worst onset .* hand-over/);

  module.close();
  await run.untilText(`port b (raw:${path})`.slice(0, 60));
  await run.until(() => / b +(\S+ +)?gone +plan/.test(wireRow(run)), 'the wire that is gone');
  expect(run.text()).not.toContain('port 1');
  const before = run.wire.reader.noteOns.length;
  await run.wire.until((wire) => wire.noteOns.length > before + 8, 'the first port plays on');

  const again = farEnd(path);
  await run.until(() => / b .*[1-9]\d*% +plan/.test(wireRow(run)), 'the wire that came back');
  run.send('l');
  await run.untilText(/── what was done[\s\S]*port b \(raw:[\s\S]*port b \(raw:/);
  run.send('\x1b');
  again.close();
  await run.until(() => / b +(\S+ +)?gone +plan/.test(wireRow(run)), 'the wire that is gone again');

  run.send('q');
  expect((await run.untilExit()).code).toBe(1);
  expect(run.text().replaceAll('\n', '')).toContain('wirepit: port b (raw:');
  expect(run.wire.reader.sounding).toBe(0);
});

it('a folder on a file port: the player that waits after the last song leaves no file', async () => {
  const songs = join(folder, 'songs');
  const out = join(folder, 'out');
  execFileSync('mkdir', [songs, out]);
  for (const name of ['first', 'second']) {
    writeFileSync(
      join(songs, `${name}.mid`),
      songBytes([
        [
          [0, [0x90, 60, 64]],
          [192, [0x80, 60, 64]],
        ],
      ]),
    );
  }
  // The named port of the rig is a pipe; the last one given is a file, and it plays everything.
  const take = join(out, 'take.txt');
  const run = startProgram(['--port', `f=file:${take}`, '--map', '1-16=f'], { song: songs });
  await run.untilText('second');
  expect(existsSync(take)).toBe(true); // open, and still empty: nothing was sent
  run.send('\r');
  await run.untilText('▶ playing');
  await run.until((text) => text.includes('search') && text.includes('■ stopped'), 'the list again');
  run.send('\x1b');
  await run.until((text) => !text.includes('search'), 'no list');
  run.send('q');
  await run.untilExit();
  expect(readFileSync(take, 'latin1')).toContain('90 3C 40');
  expect(execFileSync('ls', [out], { encoding: 'utf8' })).toBe('take.txt\n');
});
