import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { chmodSync, existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { delimiter, join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { WIREPIT } from '../support/run-wirepit.ts';
import { songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';

const ON_LINUX = process.platform === 'linux';
let child: ChildProcess | undefined;
afterEach(() => {
  child?.kill('SIGKILL');
});

/** A folder with a `chrt` that notes what it is asked for, after it has taken its time, and a FIFO. */
function rig(seconds: number) {
  const folder = tempFolder('priority');
  const [asked, fifo, song] = ['asked', 'fifo', 'song.mid'].map((name) => join(folder, name)) as [
    string,
    string,
    string,
  ];
  const chrt = join(folder, 'chrt');
  writeFileSync(chrt, `#!/bin/sh\nsleep ${seconds}\necho "$@" > ${asked}.part; mv ${asked}.part ${asked}\n`);
  chmodSync(chrt, 0o755);
  spawnSync('mkfifo', [fifo]);
  writeFileSync(
    song,
    songBytes([
      [
        [0, [0x90, 60, 64]],
        [96, [0x80, 60, 64]],
      ],
    ]),
  );
  const start = (...args: string[]): ChildProcess => {
    const PATH = `${folder}${delimiter}${process.env.PATH}`;
    child = spawn(process.execPath, [WIREPIT, ...args, '--headless'], {
      env: { ...process.env, PATH, WIREPIT_PRIORITY: '' },
      stdio: 'ignore',
    });
    return child;
  };
  return { asked, fifo, song, start };
}

const soon = () => new Promise((resolve) => setTimeout(resolve, 5));

test.skipIf(!ON_LINUX)(
  'playing asks for its priority before the first byte, and waits for the answer',
  async () => {
    const { asked, fifo, song, start } = rig(0.1);
    // Open for both, lest the reader see an end before the writer comes.
    const reader = await open(fifo, 'r+');
    start(song, '--port', `raw:${fifo}`);
    await reader.read(Buffer.alloc(1), 0, 1);
    expect(existsSync(asked)).toBe(true);
    await reader.close();
  },
);

test.skipIf(!ON_LINUX)('listening asks for its thread', async () => {
  const { asked, fifo, start } = rig(0);
  const { pid } = start('listen', '--from', `raw:${fifo}`);
  while (!existsSync(asked)) await soon();
  const [, , , thread] = readFileSync(asked, 'latin1').trim().split(' ');
  expect(readdirSync(`/proc/${pid}/task`)).toContain(thread);
  expect(thread).not.toBe(String(pid));
});
