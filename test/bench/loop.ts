/**
 * `wirepit loop` through a real pair of pseudo-terminals with a line in between that has a rate and faults of its own
 * and stamps every byte as it leaves (a process of its own): what the loop says against those stamps.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { quantile } from '../../src/core/compare/robust-line.ts';
import type { LoopJudgement } from '../../src/core/loop/judge-loop.ts';
import { startLoop } from '../../src/loop/run-loop.ts';
import { type FarLineLog, type FarLineOptions, farLine } from '../support/far-line.ts';
import { recordBench } from './bench-record.ts';
import { printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';

interface Case extends FarLineOptions {
  readonly name: string;
}

const CASES: readonly Case[] = [
  { name: 'as it should be', baud: 31_250 },
  { name: '0.8 % slow', baud: 31_000 },
  { name: '0.9 % fast', baud: 31_530 },
  { name: '0.05 % fast, 2 ms late', baud: 31_266, delayMicros: 2000 },
  { name: 'one in 300 lost', baud: 31_250, loseEvery: 300 },
  { name: 'one in 200 changed', baud: 31_100, flipEvery: 200, flipBits: 8 },
  { name: 'lost, changed, added', baud: 31_400, loseEvery: 401, flipEvery: 307, flipBits: 1, addEvery: 503 },
];

interface Row {
  readonly name: string;
  readonly latency: readonly [ours: number, theirs: number];
  readonly baud: readonly [ours: number, theirs: number];
  readonly wrong: number;
}

export async function run(): Promise<void> {
  const rows: Row[] = [];
  for (const one of CASES) rows.push(await measure(one));
  printTable(
    ['line', 'latency', 'by the line', 'off (µs)', 'baud', 'by the line', 'off (ppm)', 'faults miscounted'],
    rows.map(({ name, latency, baud, wrong }) => [
      name,
      ...latency.map((micros) => `${micros.toFixed(0)} µs`),
      (latency[0] - latency[1]).toFixed(0),
      ...baud.map((rate) => rate.toFixed(1)),
      ppm(baud).toFixed(0),
      String(wrong),
    ]),
  );
  const goals = printGoals([
    {
      name: 'latency off at most',
      value: worst(rows, ({ latency }) => latency[0] - latency[1]),
      atMost: 50,
      unit: 'us',
    },
    { name: 'baud off at most', value: worst(rows, ({ baud }) => ppm(baud)), atMost: 500, unit: 'ppm' },
    { name: 'lost, changed, added miscounted', value: worst(rows, ({ wrong }) => wrong), atMost: 0 },
  ]);
  recordBench('loop', { rows, goals });
}

const ppm = ([ours, theirs]: Row['baud']) => (ours / theirs - 1) * 1e6;
const worst = (rows: readonly Row[], of: (row: Row) => number) =>
  Math.max(...rows.map((row) => Math.abs(of(row))));

async function measure(one: Case): Promise<Row> {
  const folder = mkdtempSync(join(tmpdir(), 'bench-loop-'));
  try {
    const line = await farLine({ ...one, spins: true }, folder);
    const run = await startLoop({
      port: `serial:${line.out}`,
      from: `serial:${line.in}`,
      quiet: false,
      rounds: 1,
    });
    const loop = await run.done;
    const log = await line.end();
    return {
      name: one.name,
      latency: [loop.latency?.p50Micros ?? Number.NaN, latencyByLine(loop, log, run.originNanos)],
      baud: [loop.rate?.baud ?? Number.NaN, baudByLine(log)],
      wrong: miscounted(one, loop),
    };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** When the line let the last byte of each single message go, from when it was handed over. */
function latencyByLine(loop: LoopJudgement, log: FarLineLog, originNanos: number): number {
  const { pattern, damage, sending } = loop;
  const delays: number[] = [];
  for (let step = 0; step < pattern.steps.length; step += 1) {
    const heard = damage.heardOf[pattern.start[step + 1]! - 1]!;
    if (pattern.steps[step]!.section !== 'alone' || heard < 0) continue;
    delays.push((log[heard]![2] - originNanos) / 1000 - sending!.handedMicros[step]!);
  }
  return quantile(Float64Array.from(delays), 0.5);
}

/** Median time from byte to byte over whole bursts: bytes that the line let go without a pause. */
function baudByLine(log: FarLineLog): number {
  const rates: number[] = [];
  let begin = 0;
  for (let at = 1; at <= log.length; at += 1) {
    if (at < log.length && log[at]![2] - log[at - 1]![2] < 1_500_000) continue;
    const bytes = at - 1 - begin;
    if (bytes >= 250) rates.push((bytes * 1e10) / (log[at - 1]![2] - log[begin]![2]));
    begin = at;
  }
  return quantile(Float64Array.from(rates), 0.5);
}

/** The line counts what it is given; so many of each are due. */
function miscounted({ loseEvery, flipEvery, addEvery }: Case, { sentBytes, counted }: LoopJudgement): number {
  const due = (every: number | undefined) => (every === undefined ? 0 : Math.floor(sentBytes / every));
  return (
    Math.abs(counted.lost - due(loseEvery)) +
    Math.abs(counted.changed - due(flipEvery)) +
    Math.abs(counted.added - due(addEvery))
  );
}
