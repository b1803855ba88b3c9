/**
 * A long stretch of real time with everything on: a show of one dense song (412 messages a second) on a screen of 80x24
 * with two watchers beside it, `WIREPIT_BENCH_SECONDS` long (3600). How late messages are at the port, how much memory
 * and how many descriptors each process has on the way, and what the machine had to do meanwhile.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import buildFirst from '../support/build-first.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';
import { median, sleep } from './screen/watch.ts';
import { type Child, copyOfProgram, inTerminal } from './timing/children.ts';
import { denseSong } from './timing/dense-song.ts';
import { Histogram } from './timing/histogram.ts';

const SECONDS = Number(process.env.WIREPIT_BENCH_SECONDS ?? 3600);
/** Code is compiled and pages are filled by then. */
const SKIP_SECONDS = 20;
const SAMPLE_MS = 5000;
const WATCHERS = 2;

interface Sample {
  readonly residentMb: number;
  readonly descriptors: number;
}

export async function run(): Promise<void> {
  buildFirst();
  const folder = mkdtempSync(join(tmpdir(), 'bench-hour-'));
  try {
    await measure(folder, process.env.WIREPIT_BENCH_PROGRAM ?? copyOfProgram());
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function measure(folder: string, wirepit: string): Promise<void> {
  writeFileSync(join(folder, 'dense.mid'), denseSong(SECONDS + SKIP_SECONDS));
  const set = join(folder, 'dense.toml');
  writeFileSync(set, '[[song]]\nfile = "dense.mid"\n');
  const lateness = join(folder, 'lateness.json');
  const environment = { XDG_RUNTIME_DIR: join(folder, 'run'), XDG_STATE_HOME: join(folder, 'state') };
  const show = inTerminal([wirepit, 'show', set, '--unattended', '--again'], {
    ...environment,
    WIREPIT_LATENESS: `${lateness}:${SKIP_SECONDS * 1000}`,
  });
  let isOver = false;
  void show.ended.then(() => {
    isOver = true;
  });
  await sleep(5000);
  const watchers = Array.from({ length: WATCHERS }, () => inTerminal([wirepit, 'watch'], environment));
  await sleep(SKIP_SECONDS * 1000 - 5000);
  const processes: readonly Child[] = [show, ...watchers];
  const samples: Sample[][] = processes.map(() => []);
  const loads: number[] = [];
  while (!isOver) {
    for (const [index, { pid }] of processes.entries()) {
      const sample = sampleOf(pid);
      if (sample !== undefined) samples[index]!.push(sample);
    }
    loads.push(loadavg()[0]!);
    await Promise.race([show.ended, sleep(SAMPLE_MS)]);
  }
  const histogram = new Histogram();
  histogram.addFile(lateness);
  report(histogram, samples, loads);
}

function report(
  histogram: Histogram,
  samples: readonly (readonly Sample[])[],
  loads: readonly number[],
): void {
  const names = ['show', ...Array.from({ length: WATCHERS }, (_, n) => `watcher ${n + 1}`)];
  printTable(
    ['process', 'samples', 'MB at first', 'MB at last', 'descriptors', 'most'],
    names.map((name, index) => {
      const of = samples[index]!;
      const descriptors = of.map((sample) => sample.descriptors);
      const { first, last } = thirds(of);
      return [
        name,
        of.length,
        first.toFixed(1),
        last.toFixed(1),
        descriptors[0] ?? 0,
        Math.max(...descriptors),
      ];
    }),
  );
  const at = (share: number) => histogram.quantile(share);
  process.stdout.write(
    `${SECONDS} s, ${histogram.count} messages; late p50 ${at(0.5)} µs, p99 ${at(0.99)} µs, p99.9 ${at(0.999)} µs, ` +
      `worst ${histogram.worstMicros} µs; the machine's load ${Math.min(...loads).toFixed(1)} to ` +
      `${Math.max(...loads).toFixed(1)}, median ${median(loads).toFixed(1)}\n`,
  );
  const growth = samples.map((of) => thirds(of).last - thirds(of).first);
  const more = samples.map((of) => of.at(-2)!.descriptors - of[0]!.descriptors);
  const goals: Goal[] = [
    { name: 'hour-p99-lateness', value: at(0.99), unit: 'µs', atMost: 320 },
    { name: 'hour-growth-of-the-show', value: growth[0]!, unit: 'MB', atMost: 1 },
    { name: 'hour-growth-of-a-watcher', value: Math.max(...growth.slice(1)), unit: 'MB', atMost: 1 },
    { name: 'hour-more-descriptors', value: Math.max(...more), atMost: 0 },
  ];
  printGoals(goals);
  recordBench('hour', {
    seconds: SECONDS,
    goals,
    samples,
    loads,
    p99: at(0.99),
    worst: histogram.worstMicros,
  });
}

/** Memory is flat when the last third needs what the second did; in the first the heap still finds its size. */
function thirds(samples: readonly Sample[]): { first: number; last: number } {
  const third = Math.floor(samples.length / 3);
  const of = (from: number) => median(samples.slice(from, from + third).map(({ residentMb }) => residentMb));
  return { first: of(third), last: of(2 * third) };
}

/** Undefined once the process is gone (Linux, proc manual page). */
function sampleOf(pid: number): Sample | undefined {
  try {
    const kilobytes = /^VmRSS:\s+(\d+)/m.exec(readFileSync(`/proc/${pid}/status`, 'latin1'))?.[1];
    return { residentMb: Number(kilobytes) / 1024, descriptors: readdirSync(`/proc/${pid}/fd`).length };
  } catch {
    return undefined;
  }
}
