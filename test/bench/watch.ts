/**
 * What watching costs: a show of one dense song (412 messages a second), alone and with three watchers in terminals of
 * 80x24, in slices that take turns. How late messages are at the port, how soon a watcher's first lanes are on its
 * screen, and what the watchers use of a core. `WIREPIT_BENCH_SECONDS` of each kind (60).
 */
import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { spawn } from '@lydell/node-pty';
import buildFirst from '../support/build-first.ts';
import { until } from '../support/pty-pair.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';
import { median, sleep, ticksOf } from './screen/watch.ts';
import { copyOfProgram, outputOf, withoutTerminal } from './timing/children.ts';
import { denseSong } from './timing/dense-song.ts';
import { Histogram } from './timing/histogram.ts';

const SLICE_SECONDS = 15;
const SKIP_MS = 5000;
const WATCHERS = 3;
const ATTACHES = 8;

export async function run(): Promise<void> {
  buildFirst();
  const folder = mkdtempSync(join(tmpdir(), 'bench-watch-'));
  try {
    await measure(folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function measure(folder: string): Promise<void> {
  const seconds = Number(process.env.WIREPIT_BENCH_SECONDS ?? 60);
  const wirepit = copyOfProgram();
  writeFileSync(join(folder, 'dense.mid'), denseSong(SLICE_SECONDS + SKIP_MS / 1000));
  const set = join(folder, 'dense.toml');
  writeFileSync(set, '[[song]]\nfile = "dense.mid"\n');
  const environment = { XDG_RUNTIME_DIR: join(folder, 'run'), XDG_STATE_HOME: join(folder, 'state') };
  const [alone, watched] = [new Histogram(), new Histogram()];
  const attach: number[] = [];
  const shares: number[] = [];
  for (let slice = 0; slice < Math.max(1, Math.round(seconds / SLICE_SECONDS)); slice += 1) {
    for (const [kind, histogram] of [
      ['alone', alone],
      ['watched', watched],
    ] as const) {
      const to = join(folder, `${kind}-${slice}.json`);
      const args = [wirepit, 'show', set, '--headless', '--unattended', '--again'];
      const show = withoutTerminal(args, { ...environment, WIREPIT_LATENESS: `${to}:${SKIP_MS}` });
      await found(folder);
      if (kind === 'watched') {
        const watchers = [];
        for (let n = 0; n < WATCHERS; n += 1) {
          const watcher = watch(wirepit, environment);
          attach.push(await watcher.firstLanesMs);
          watchers.push(watcher);
        }
        await sleep(SKIP_MS);
        const [began, before] = [performance.now(), ticksOfAll(watchers)];
        await sleep(5000);
        shares.push((10 * (ticksOfAll(watchers) - before)) / (performance.now() - began));
      }
      await show.ended;
      histogram.addFile(to);
    }
  }
  // Attaching alone, without two others that start beside it; and what starting Node alone costs here.
  const show = withoutTerminal([wirepit, 'show', set, '--headless', '--unattended', '--again'], environment);
  await found(folder);
  const calm: number[] = [];
  const bare: number[] = [];
  for (let n = 0; n < ATTACHES; n += 1) {
    const watcher = watch(wirepit, environment);
    calm.push(await watcher.firstLanesMs);
    watcher.kill();
    const began = performance.now();
    await outputOf(['-e', '0']);
    bare.push(performance.now() - began);
  }
  process.kill(show.pid, 'SIGTERM');
  await show.ended;
  report(alone, watched, { attach, calm, bare, shares });
}

/** Once a show there can be watched, and has settled. */
async function found(folder: string): Promise<void> {
  const place = join(folder, 'run', 'wirepit');
  await until(
    () => existsSync(place) && readdirSync(place).some((name) => name.endsWith('.socket')),
    'a show',
  );
  await sleep(1000);
}

interface Watching {
  readonly attach: readonly number[];
  readonly calm: readonly number[];
  readonly bare: readonly number[];
  readonly shares: readonly number[];
}

function report(alone: Histogram, watched: Histogram, { attach, calm, bare, shares }: Watching): void {
  printTable(
    ['lateness, µs', 'messages', 'p50', 'p99', 'p99.9', 'max'],
    [
      ['alone', alone],
      ['three watch', watched],
    ].map(([name, h]) => {
      const histogram = h as Histogram;
      const at = (share: number) => histogram.quantile(share);
      return [name as string, histogram.count, at(0.5), at(0.99), at(0.999), histogram.worstMicros];
    }),
  );
  const ratio = watched.quantile(0.99) / alone.quantile(0.99);
  process.stdout.write(
    `attaching beside others: median ${median(attach).toFixed(0)} ms; bare Node ${median(bare).toFixed(0)} ms\n`,
  );
  const goals: Goal[] = [
    { name: 'watch-p99-three-vs-none', value: ratio, unit: 'x', atMost: 1.5 },
    { name: 'watch-attach-to-first-lanes', value: median(calm), unit: 'ms', atMost: 300 },
    { name: 'watch-three-share-of-a-core', value: median(shares) * 100, unit: '%', atMost: 6 },
  ];
  printGoals(goals);
  recordBench('watch', {
    goals,
    attach,
    calm,
    bare,
    shares,
    alone: alone.quantile(0.99),
    watched: watched.quantile(0.99),
  });
}

/** A watcher in a terminal that somebody reads; ends by itself with the show. */
function watch(wirepit: string, environment: Record<string, string>) {
  const began = performance.now();
  const pty = spawn(process.execPath, [wirepit, 'watch'], {
    name: 'xterm-256color',
    cols: 80,
    rows: 24,
    env: { ...process.env, NODE_ENV: 'production', CI: 'false', ...environment },
  });
  const firstLanesMs = new Promise<number>((resolve) => {
    let text = '';
    pty.onData((data) => {
      text = (text + data).slice(-20_000);
      // The transport stands in every frame of lanes, and nowhere else.
      if (text.includes('playing')) resolve(performance.now() - began);
    });
  });
  return { pid: pty.pid, firstLanesMs, kill: () => pty.kill() };
}

const ticksOfAll = (processes: readonly { readonly pid: number }[]) =>
  processes.reduce((sum, { pid }) => sum + ticksOf(pid), 0);
