/**
 * A show that is killed: 200 times (`WIREPIT_SHOW_KILLS`), at moments of chance, the built program in real time, each start
 * going on from what the last one left. Its state must be readable and name the song that was on; and how soon the first
 * note of a set is sent, beside starting Node alone.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { setTimeout as after } from 'node:timers/promises';
import { decodeShowState } from '../../src/core/show/show-state.ts';
import buildFirst from '../support/build-first.ts';
import { seeded } from '../support/seeded.ts';
import { type DeltaEvent, songBytes } from '../support/song-bytes.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { copyOfProgram, outputOf } from './timing/children.ts';

const KILLS = Number(process.env.WIREPIT_SHOW_KILLS ?? 200);
const SONGS = 6;
const STARTS = 8;

export async function run(): Promise<void> {
  buildFirst();
  const folder = mkdtempSync(join(tmpdir(), 'bench-show-'));
  try {
    const wirepit = copyOfProgram();
    const set = writeSet(folder);
    const kills = await killed(wirepit, set, folder);
    const starts = await coldStarts(wirepit, set, folder);
    report(kills, starts);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Six songs of a second each, round and round. */
function writeSet(folder: string): string {
  const lines = ['[set]', 'loop = true', 'gap-seconds = 0'];
  for (let n = 0; n < SONGS; n += 1) {
    const events: DeltaEvent[] = [];
    for (let beat = 0; beat < 4; beat += 1) events.push([0, [0x90, 60 + n, 80]], [48, [0x80, 60 + n, 64]]);
    writeFileSync(join(folder, `song-${n}.mid`), songBytes([events]));
    lines.push('[[song]]', `file = "song-${n}.mid"`);
  }
  const set = join(folder, 'fair.toml');
  writeFileSync(set, `${lines.join('\n')}\n`);
  return set;
}

interface Kills {
  readonly wrong: readonly string[];
  readonly starts: number;
}

async function killed(wirepit: string, set: string, folder: string): Promise<Kills> {
  const chance = seeded(7);
  const wrong: string[] = [];
  let starts = 0;
  for (let kill = 0; kill < KILLS; kill += 1) {
    const before = stateIn(folder);
    const show = startShow(wirepit, set, folder);
    let told = '';
    show.stderr!.on('data', (chunk) => {
      told += chunk;
    });
    // Some before it has said anything, some in the third song.
    await after(100 + chance() * 3000);
    show.kill('SIGKILL');
    await once(show, 'exit');
    if (before !== undefined && told.includes('going on')) {
      starts += 1;
      if (!told.includes(`going on where the show stopped: ${basename(before.song)}`))
        wrong.push(`kill ${kill}: ${told.split('\n')[0]} and not ${basename(before.song)}`);
    }
    if (existsSync(statePath(folder) ?? '') && stateIn(folder) === undefined)
      wrong.push(`kill ${kill}: a state that cannot be read`);
    const journal = journalIn(folder);
    const last = journal.findLast((line) => line.includes('began:'));
    const state = stateIn(folder);
    if (last !== undefined && state !== undefined && !isAtOrBefore(last, state.song))
      wrong.push(`kill ${kill}: the journal began ${last}, the state has ${basename(state.song)}`);
  }
  return { wrong, starts };
}

/** The state is written as a song begins, and then the journal: never the other way round. */
function isAtOrBefore(began: string, stateSong: string): boolean {
  const number = (text: string) => Number(/song-(\d)/.exec(text)?.[1]);
  const ahead = (number(stateSong) - number(began) + SONGS) % SONGS;
  return ahead <= 1;
}

async function coldStarts(wirepit: string, set: string, folder: string) {
  const toNote: number[] = [];
  const bare: number[] = [];
  for (let n = 0; n < STARTS; n += 1) {
    const sent = join(folder, `sent-${n}.txt`);
    const began = performance.now();
    const show = startShow(wirepit, set, folder, '--again', '--port', `file:${sent}`);
    while (!hasNote(sent)) await after(2);
    toNote.push(performance.now() - began);
    show.kill('SIGKILL');
    await once(show, 'exit');
    const node = performance.now();
    await outputOf(['-e', '0']);
    bare.push(performance.now() - node);
  }
  return { toNote, bare };
}

function hasNote(path: string): boolean {
  return existsSync(path) && / 9[0-9A-F] /.test(readFileSync(path, 'utf8'));
}

function startShow(wirepit: string, set: string, folder: string, ...more: string[]): ChildProcess {
  const args = [wirepit, 'show', set, '--headless', '--unattended', ...more];
  const env = { ...process.env, XDG_STATE_HOME: join(folder, 'state'), XDG_RUNTIME_DIR: join(folder, 'run') };
  return spawn(process.execPath, args, { env, stdio: ['ignore', 'ignore', 'pipe'] });
}

function statePath(folder: string): string | undefined {
  return fileIn(folder, '.state.json');
}

function stateIn(folder: string) {
  const path = statePath(folder);
  return path === undefined ? undefined : decodeShowState(readFileSync(path, 'utf8'));
}

function journalIn(folder: string): string[] {
  const path = fileIn(folder, '.journal');
  return path === undefined ? [] : readFileSync(path, 'utf8').split('\n');
}

function fileIn(folder: string, ending: string): string | undefined {
  const state = join(folder, 'state', 'wirepit');
  if (!existsSync(state)) return undefined;
  const name = readdirSync(state).find((each) => each.endsWith(ending));
  return name === undefined ? undefined : join(state, name);
}

function report({ wrong, starts }: Kills, { toNote, bare }: Awaited<ReturnType<typeof coldStarts>>): void {
  for (const line of wrong.slice(0, 20)) process.stdout.write(`${line}\n`);
  process.stdout.write(
    `${KILLS} kills, ${starts} starts that said where they go on; bare Node ${median(bare).toFixed(0)} ms\n`,
  );
  const goals: Goal[] = [
    { name: 'show-kills-that-lost-the-place', value: KILLS === 0 ? Number.NaN : wrong.length, atMost: 0 },
    { name: 'show-cold-start-to-first-note', value: median(toNote), unit: 'ms', atMost: 500 },
    {
      name: 'show-cold-start-over-bare-node',
      value: median(toNote) / median(bare),
      unit: 'x',
      atMost: 500 / 120,
    },
  ];
  printGoals(goals);
  recordBench('show', { goals, wrong, starts, toNote, bare });
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!;
