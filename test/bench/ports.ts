/**
 * Real wires: a full wire through a pty pair (no byte lost, and when each message is at the far end, beside
 * what the mock port sees); listening to a full wire with the screen on; the stream parser beside libraries.
 * A pty passes bytes on at once, so the figures are the program's and the system's, not a UART's.
 */

import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { hasSocat } from '../support/pty-pair.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { listenWithScreen } from './ports/listen-run.ts';
import { raceParsers } from './ports/parser-race.ts';
import { playThroughPty, playToMock } from './ports/pty-run.ts';
import { printTable } from './print-table.ts';

const QUICK = process.env.WIREPIT_BENCH_QUICK !== undefined;
/** Slices of mock and pty take turns, so that a busy machine disturbs both alike; the pty's make 60 s. */
const SLICES = 3;
const SLICE_SECONDS = QUICK ? 3 : 20;
const LISTEN_SECONDS = QUICK ? 5 : 30;

export async function run(): Promise<void> {
  const race = raceParsers(QUICK ? 0.5 : 2);
  process.stdout.write('\nParsing a live stream\n');
  printTable(
    ['', 'input', 'MB/s', 'messages'],
    race.map(({ name, input, megabytesPerSecond, messages }) => [
      name,
      input,
      megabytesPerSecond.toFixed(1),
      messages,
    ]),
  );
  const fastestOther = Math.max(...race.slice(1).map(({ megabytesPerSecond }) => megabytesPerSecond));
  const goals: Goal[] = [
    {
      name: 'stream-parser-over-fastest-library',
      value: race[0]!.megabytesPerSecond / fastestOther,
      atLeast: 1,
      unit: 'x',
    },
  ];
  if (!hasSocat) {
    process.stdout.write('\nskipped: the pty runs need socat (Debian package)\n');
    recordBench('ports', { race, goals: printGoals(goals) });
    return;
  }
  const pty = await ptyRuns();
  goals.push(
    { name: 'pty-bytes-lost', value: pty.bytesLost, atMost: 0 },
    { name: 'pty-bytes-wrong-or-reordered', value: pty.bytesWrong, atMost: 0 },
    { name: 'pty-arrival-p50', value: pty.figures.arrival.p50, atMost: 320, unit: 'us' },
  );
  const listening = await listenRun();
  goals.push(
    { name: 'listen-bytes-lost', value: listening.bytesSent - listening.bytesHeard, atMost: 0 },
    { name: 'listen-faults', value: listening.faults, atMost: 0 },
    { name: 'listen-cpu', value: listening.cpuShare * 100, atMost: 10, unit: '%' },
  );
  recordBench('ports', { race, pty, listening, goals: printGoals(goals) });
}

async function ptyRuns() {
  const mock = new Uint32Array(await playToMock(1)).fill(0);
  const handover = mock.slice();
  const arrivals: number[] = [];
  let [bytesSent, bytesLost, bytesWrong] = [0, 0, 0];
  for (let slice = 0; slice < SLICES; slice += 1) {
    for (const [bucket, count] of (await playToMock(SLICE_SECONDS)).entries()) mock[bucket]! += count;
    const result = await playThroughPty(SLICE_SECONDS);
    for (const [bucket, count] of result.handover.entries()) handover[bucket]! += count;
    arrivals.push(...result.arrival);
    bytesSent += result.bytesSent;
    bytesLost += result.bytesLost;
    bytesWrong += result.bytesWrong;
  }
  arrivals.sort((a, b) => a - b);
  const figures = {
    mockHandover: ofHistogram(mock),
    ptyHandover: ofHistogram(handover),
    arrival: ofSorted(arrivals),
  };
  process.stdout.write(
    `\nA full wire, ${SLICES} x ${SLICE_SECONDS} s each, microseconds late against the plan\n`,
  );
  printTable(
    ['', 'p50', 'p99', 'max'],
    Object.entries(figures).map(([name, { p50, p99, max }]) => [
      NAMES[name]!,
      p50.toFixed(0),
      p99.toFixed(0),
      max.toFixed(0),
    ]),
  );
  process.stdout.write(`${bytesSent} bytes sent, ${bytesLost} lost, ${bytesWrong} wrong or out of order\n`);
  return { figures, bytesSent, bytesLost, bytesWrong };
}

const NAMES: Readonly<Record<string, string>> = {
  mockHandover: 'handed to the mock port',
  ptyHandover: 'handed to the serial port',
  arrival: 'last byte read at the far end',
};

async function listenRun() {
  const program = fileURLToPath(new URL('../../dist/wirepit.js', import.meta.url));
  const build = fileURLToPath(new URL('../../scripts/build.mjs', import.meta.url));
  if (!existsSync(program) || !QUICK)
    execFileSync(process.execPath, [build, '--if-stale'], { stdio: 'inherit' });
  const result = await listenWithScreen(program, LISTEN_SECONDS);
  process.stdout.write(`\nListening to a full wire for ${LISTEN_SECONDS} s with the screen on, 80x24\n`);
  printTable(
    ['bytes sent', 'heard', 'messages', 'faults', 'share of a core', 'screen bytes/s'],
    [
      [
        result.bytesSent,
        result.bytesHeard,
        result.messagesHeard,
        result.faults,
        `${(result.cpuShare * 100).toFixed(1)} %`,
        result.screenBytesPerSecond.toFixed(0),
      ],
    ],
  );
  return result;
}

interface Percentiles {
  readonly p50: number;
  readonly p99: number;
  readonly max: number;
}

function ofSorted(values: readonly number[]): Percentiles {
  const at = (share: number) =>
    values[Math.min(values.length - 1, Math.floor(values.length * share))] ?? Number.NaN;
  return { p50: at(0.5), p99: at(0.99), max: at(1) };
}

/** Buckets as `LatenessLog` lays them out: 4,096 of one microsecond, then of sixteen. */
function ofHistogram(counts: Uint32Array): Percentiles {
  const total = counts.reduce((sum, count) => sum + count, 0);
  const at = (share: number) => {
    let left = Math.max(1, Math.ceil(total * share));
    for (const [bucket, count] of counts.entries()) {
      left -= count;
      if (left <= 0) return bucket < 4096 ? bucket : 4096 + (bucket - 4096) * 16;
    }
    return Number.NaN;
  };
  return { p50: at(0.5), p99: at(0.99), max: at(1) };
}
