/**
 * A show that is killed: 200 times (`WIREPIT_SHOW_KILLS`), at moments of chance, the built program in real time, each start
 * going on from what the last one left. Its state must be readable and name the song that was on; and how soon the first
 * note of a set is sent, beside starting Node alone. Before that a day on the virtual clock in which things go wrong
 * (`show/faulty-day.ts`): `WIREPIT_BENCH_HOURS` (24; with `WIREPIT_BENCH_QUICK` 2), by the seed `WIREPIT_BENCH_SEED` (5),
 * with the memory and the descriptors of this process.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { setTimeout as after } from 'node:timers/promises';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { decodeShowState } from '../../src/core/show/show-state.ts';
import buildFirst from '../support/build-first.ts';
import { seeded } from '../support/seeded.ts';
import { type DeltaEvent, songBytes } from '../support/song-bytes.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { type Day, playDay } from './show/faulty-day.ts';
import { copyOfProgram, outputOf } from './timing/children.ts';

const KILLS = Number(process.env.WIREPIT_SHOW_KILLS ?? 200);
const HOURS = Number(process.env.WIREPIT_BENCH_HOURS ?? (process.env.WIREPIT_BENCH_QUICK ? 2 : 24));
const SAMPLES = 96;
const SONGS = 6;
const STARTS = 8;

export async function run(): Promise<void> {
  buildFirst();
  const folder = mkdtempSync(join(tmpdir(), 'bench-show-'));
  try {
    const wirepit = copyOfProgram();
    const set = writeSet(folder);
    const day = await faultyDay(join(folder, 'day'));
    const kills = await killed(wirepit, set, folder);
    const starts = await coldStarts(wirepit, set, folder);
    report(day, kills, starts);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

interface SampledDay extends Day {
  readonly seconds: number;
  /** By hours of the day, after a sweep. */
  readonly samples: readonly {
    readonly hours: number;
    readonly heapMb: number;
    readonly descriptors: number;
  }[];
}

async function faultyDay(folder: string): Promise<SampledDay> {
  mkdirSync(folder);
  setFlagsFromString('--expose-gc');
  const sweep = runInNewContext('gc') as () => void;
  const began = performance.now();
  const samples: { hours: number; heapMb: number; descriptors: number }[] = [];
  const day = await playDay({
    folder,
    hours: HOURS,
    seed: Number(process.env.WIREPIT_BENCH_SEED ?? 5),
    songs: 50,
    onSong(hours) {
      if (hours < (samples.length * HOURS) / SAMPLES) return;
      sweep();
      const { heapUsed, external, arrayBuffers } = process.memoryUsage();
      const heapMb = (heapUsed + external + arrayBuffers) / 1e6;
      samples.push({ hours, heapMb, descriptors: readdirSync('/proc/self/fd').length });
    },
  });
  return { ...day, samples, seconds: (performance.now() - began) / 1000 };
}

/**
 * What there is at the least in the last quarter of the day, more than in the second, by when it had found its size. Each
 * sample has the song in it that is on, 22 to 31 MB in all: of single ones the songs decide, not the day.
 */
function growth(
  samples: SampledDay['samples'],
  of: (sample: SampledDay['samples'][number]) => number,
): number {
  const quarter = Math.floor(samples.length / 4);
  const least = (from: number) => Math.min(...samples.slice(from, from + quarter).map(of));
  return quarter === 0 ? Number.NaN : least(samples.length - quarter) - least(quarter);
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

function report(
  day: SampledDay,
  { wrong, starts }: Kills,
  { toNote, bare }: Awaited<ReturnType<typeof coldStarts>>,
): void {
  const faults = Object.entries(day.faults).map(([kind, times]) => `${times} ${kind}`);
  for (const line of day.wrong.slice(0, 20)) process.stdout.write(`${line}\n`);
  process.stdout.write(
    `${HOURS} virtual hours in ${day.seconds.toFixed(0)} s: ${day.songs} songs, ${day.whole} of them without a fault, ` +
      `${day.passedOver} passed over for their file, ${day.noteOns} notes; faults: ${faults.join(', ')}\n`,
  );
  const descriptors = growth(day.samples, (sample) => sample.descriptors);
  for (const line of wrong.slice(0, 20)) process.stdout.write(`${line}\n`);
  process.stdout.write(
    `${KILLS} kills, ${starts} starts that said where they go on; bare Node ${median(bare).toFixed(0)} ms\n`,
  );
  const goals: Goal[] = [
    { name: 'show-day-wrong', value: day.wrong.length, atMost: 0 },
    { name: 'show-day-growth', value: growth(day.samples, ({ heapMb }) => heapMb), unit: 'MB', atMost: 1 },
    { name: 'show-day-more-descriptors', value: descriptors, atMost: 0 },
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
  recordBench('show', { goals, day, wrong, starts, toNote, bare });
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!;
