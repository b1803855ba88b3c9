import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { hasSocat, PtyPair, until } from '../support/pty-pair.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';

const folder = tempFolder('power-cut');
const state = join(folder, 'state', 'wirepit');
const set = join(folder, 'fair.toml');
/** Of half a second each. */
const songs = ['one', 'two', 'three'].map((name, at) => {
  const events: DeltaEvent[] = [
    [0, [0x90, 60 + at, 80]],
    [96, [0x80, 60 + at, 64]],
  ];
  writeFileSync(join(folder, `${name}.mid`), songBytes([events]));
  return `[[song]]\nfile = "${name}.mid"\n`;
});
writeFileSync(set, `[set]\nloop = true\ngap-seconds = 0\n${songs.join('')}`);

let show: ChildProcess | undefined;
afterEach(() => {
  show?.kill('SIGKILL');
});

function start(...more: string[]): () => string {
  const env = { ...process.env, XDG_STATE_HOME: join(folder, 'state'), XDG_RUNTIME_DIR: join(folder, 'run') };
  const args = [WIREPIT, 'show', set, '--headless', '--unattended', ...more];
  show = spawn(process.execPath, args, { env, stdio: ['ignore', 'ignore', 'pipe'] });
  let told = '';
  show.stderr!.on('data', (chunk) => {
    told += chunk;
  });
  return () => told;
}

function journal(): string[] {
  const name = existsSync(state) && readdirSync(state).find((each) => each.endsWith('.journal'));
  return name ? readFileSync(join(state, name), 'utf8').trimEnd().split('\n') : [];
}

const began = () => journal().filter((line) => line.includes('  began: '));

test('a show that is killed goes on at the song that was on; its journal tells of both', async () => {
  start();
  for (let cut = 0; cut < 3; cut += 1) {
    const before = began().length;
    await until(() => began().length >= before + 2, 'another song', 60_000);
    show!.kill('SIGKILL');
    await once(show!, 'exit');
    // What the state says now is what the journal said last, or the song after it, just begun.
    const names = ['one.mid', 'two.mid', 'three.mid'];
    const last = names.indexOf(began().at(-1)!.split('began: ')[1]!);
    const told = start();
    await until(() => told().includes('going on where the show stopped: '), 'where it goes on', 60_000);
    const again = /going on where the show stopped: (\S+)/.exec(told())![1]!;
    expect([names[last], names[(last + 1) % 3]]).toContain(again);
  }
  for (const line of journal()) {
    expect(line).toMatch(
      /^\d{4}-\d\d-\d\d \d\d:\d\d:\d\d {2}(began|played to its end): (one|two|three)\.mid$/,
    );
  }
});

test.skipIf(!hasSocat)('a port that went and is there again is in the journal of a show', async () => {
  const pair = await PtyPair.plugged();
  try {
    const events: DeltaEvent[] = [];
    for (let beat = 0; beat < 400; beat += 1) events.push([0, [0x90, 60, 80]], [96, [0x80, 60, 64]]);
    writeFileSync(join(folder, 'long.mid'), songBytes([events]));
    writeFileSync(set, '[[song]]\nfile = "long.mid"\n');
    start('--again', '--port', `serial:${pair.near}`);
    const tells = (words: string) => () => journal().at(-1)!.endsWith(`  ${words}: long.mid`);
    await until(tells('began'), 'the song', 60_000);
    await pair.unplug();
    await until(tells(`port serial:${pair.near} is gone`), 'the loss', 60_000);
    await pair.plug();
    await until(tells(`port serial:${pair.near} is there again`), 'the return', 60_000);
  } finally {
    await pair.remove();
  }
});
