/**
 * Reading 1,000,000 notes: file bytes → timeline, beside midi-file's parse alone and @tonejs/midi. Each run is
 * a process of its own (nothing warmed up, nothing left in memory); runs are interleaved so that a busy
 * machine disturbs all alike. Memory is what a process takes beyond one that does nothing.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { build } from 'esbuild';
import { recordBench } from './bench-record.ts';
import { printGoals } from './goal-line.ts';
import { millionNotes } from './million-notes.ts';
import { printTable } from './print-table.ts';

interface Figures {
  readonly millis: number;
  readonly rows: number;
  readonly residentMb: number;
  readonly peakMb: number;
}

const FOLDER = 'bench-results/load';
const CHILD = `${FOLDER}/load-child.mjs`;
const ROUNDS = 7;
const EVERY_ROUND = ['bare node', 'wirepit', 'midi-file'];
/** Takes a minute or more, so it runs once, and not at all with WIREPIT_BENCH_QUICK. */
const ONCE = '@tonejs/midi';
/** Notes in one track behind the tempo track, and in sixteen that must be merged. */
const LAYOUTS = [1, 16];

export async function run(): Promise<void> {
  mkdirSync(FOLDER, { recursive: true });
  await bundleChild();
  const layouts = LAYOUTS.map(runLayout);
  const goals = printGoals(
    layouts.flatMap(({ tracks, faster, peakMb }) => [
      { name: `load-${tracks}-tracks-faster-than-midi-file`, value: faster, atLeast: 4, unit: 'x' },
      { name: `load-${tracks}-tracks-peak-memory-over-node`, value: peakMb, atMost: 120, unit: 'MB' },
    ]),
  );
  recordBench('load', { notes: 1_000_000, layouts, goals });
}

function runLayout(tracks: number) {
  const path = `${FOLDER}/million-notes-${tracks}.mid`;
  const song = millionNotes(tracks);
  writeFileSync(path, song);
  const runs = new Map<string, Figures[]>();
  const runOne = (name: string) => runs.set(name, [...(runs.get(name) ?? []), measure(name, path)]);
  for (let round = 0; round < ROUNDS; round += 1) for (const name of EVERY_ROUND) runOne(name);
  if (tracks > 1 && !process.env.WIREPIT_BENCH_QUICK) runOne(ONCE);

  const bare = medians(runs.get('bare node')!);
  const ours = medians(runs.get('wirepit')!);
  process.stdout.write(`\n1,000,000 notes in ${tracks} tracks, ${(song.length / 1e6).toFixed(1)} MB\n`);
  printTable(
    ['', 'runs', 'rows', 'median ms', 'range ms', 'MB over bare', 'peak MB over bare'],
    [...runs].map(([name, list]) => tableRow(name, list, bare)),
  );
  const faster = medians(runs.get('midi-file')!).millis / ours.millis;
  return {
    tracks,
    bytes: song.length,
    faster,
    peakMb: ours.peakMb - bare.peakMb,
    runs: Object.fromEntries(runs),
  };
}

function tableRow(name: string, list: readonly Figures[], bare: Figures): (string | number)[] {
  const { millis, rows, residentMb, peakMb } = medians(list);
  const times = list.map((run) => run.millis);
  const range = [Math.min(...times), Math.max(...times)].map((time) => time.toFixed(0)).join('–');
  const memory = [residentMb - bare.residentMb, peakMb - bare.peakMb].map((mb) => mb.toFixed(0));
  return [name, list.length, rows, millis.toFixed(0), range, ...memory];
}

async function bundleChild(): Promise<void> {
  await build({
    entryPoints: ['test/bench/load-child.ts'],
    outfile: CHILD,
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    minify: true, // as the program that is shipped is
    banner: {
      js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);",
    },
    logLevel: 'warning',
  });
}

function measure(name: string, path: string): Figures {
  return JSON.parse(execFileSync(process.execPath, [CHILD, name, path], { encoding: 'utf8' })) as Figures;
}

function medians(list: readonly Figures[]): Figures {
  const of = (key: keyof Figures) => list.map((run) => run[key]).sort((a, b) => a - b)[list.length >> 1]!;
  return { millis: of('millis'), rows: of('rows'), residentMb: of('residentMb'), peakMb: of('peakMb') };
}
