/**
 * How well a song keeps to a clock that comes with a jitter of 1 ms (standard deviation; and evenly within ±1 ms), beside a
 * follower that plays each clock as it comes. On a virtual clock: an hour of sixteenths, and a thousand cold starts. In
 * real time: the built threads, the clock over a pty pair from another process.
 *
 *   WIREPIT_BENCH_SECONDS   seconds over the pty pair; 60 unless said
 */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { hrtime } from 'node:process';
import { fileURLToPath } from 'node:url';
import { ClockFollower } from '../../src/core/follow/clock-follower.ts';
import { PulseTracker } from '../../src/core/follow/pulse-tracker.ts';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { hearInputs } from '../../src/engine/input/heard-inputs.ts';
import { startWorkerPlayer } from '../../src/engine/run/worker-player.ts';
import { askForRealTime } from '../../src/engine/watch/thread-priority.ts';
import { planOfRows, type Row } from '../engine/fixtures/plan-of-rows.ts';
import { PtyPair } from '../support/pty-pair.ts';
import { seeded } from '../support/seeded.ts';
import { planOf, timelineOf } from '../support/timeline-of.ts';
import { VirtualRun } from '../support/virtual-run.ts';
import { recordBench } from './bench-record.ts';
import { printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';

const PERIOD = 500_000 / 24;
const HOUR_PULSES = 48 * 3600;
const STARTS = 1000;
const PULSES_PER_BEAT = 24;

type Chance = () => number;
type Jitter = (chance: Chance) => number;

const JITTERS: Readonly<Record<string, Jitter>> = {
  'normal, 1 ms': (chance) =>
    1000 * Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance()),
  'even, ±1 ms': (chance) => 1000 * (2 * chance() - 1),
};

export async function run(): Promise<void> {
  const hours = Object.entries(JITTERS).map(([name, jitter]) => ({
    name,
    ...anHour(jitter),
    ...starts(jitter),
  }));
  const real = await overPty(Number(process.env.WIREPIT_BENCH_SECONDS ?? 60));
  printTable(
    [
      'virtual, jitter',
      'p99 µs',
      'as it comes',
      'drift µs',
      'tempo in 1 %',
      'p99 after a beat',
      'as it comes',
    ],
    hours.map((hour) => [
      hour.name,
      Math.round(hour.p99),
      Math.round(hour.plainP99),
      hour.driftMicros.toFixed(1),
      `${hour.lockPulses} clocks`,
      Math.round(hour.beatP99),
      Math.round(hour.plainP99),
    ]),
  );
  printTable(
    [
      'over a pty pair',
      'notes',
      'p99 µs',
      'as it comes',
      'median µs',
      'rig median',
      'p99',
      'worst µs',
      'losses',
    ],
    [
      [
        `${real.seconds} s`,
        real.notes,
        Math.round(real.p99),
        Math.round(real.plainP99),
        Math.round(real.median),
        Math.round(real.rigMedian),
        Math.round(real.rigP99),
        Math.round(real.worst),
        real.losses,
      ],
    ],
  );
  const [normal, even] = hours;
  const goals = printGoals([
    { name: 'p99 onset, 1 ms normal jitter', value: normal!.p99, atMost: 500, unit: 'us' },
    { name: 'p99 onset, 1 ms even jitter', value: even!.p99, atMost: 500, unit: 'us' },
    { name: 'locked: tempo within 1 %', value: normal!.lockPulses, atMost: PULSES_PER_BEAT, unit: 'clocks' },
    { name: 'drift over an hour', value: Math.abs(normal!.driftMicros), atMost: 100, unit: 'us' },
    { name: 'against as it comes', value: normal!.p99 / normal!.plainP99, atMost: 0.25, unit: 'x' },
    { name: 'pty: p99 onset', value: real.p99, atMost: 500, unit: 'us' },
    { name: 'pty: p99 onset less the rig', value: real.p99LessRig, atMost: 500, unit: 'us' },
    { name: 'pty: p99 onset about the median', value: real.p99AboutMedian, atMost: 500, unit: 'us' },
    { name: 'pty: against as it comes', value: real.p99AboutMedian / real.plainP99, atMost: 0.25, unit: 'x' },
  ]);
  recordBench('follow', { hours, real, goals });
}

/** An hour of sixteenths along a clock, through follower and scheduler; the first two seconds are not counted. */
function anHour(jitter: Jitter) {
  const chance = seeded(14);
  const rows: Row[] = [];
  for (let pulse = 0; pulse < HOUR_PULSES; pulse += 6) {
    rows.push([pulse * PERIOD, 0x90, 60, 100], [(pulse + 3) * PERIOD, 0x80, 60, 64]);
  }
  const run = new VirtualRun(planOf(timelineOf(rows)));
  const follower = new ClockFollower(
    { pulseMicros: Float64Array.from({ length: HOUR_PULSES }, (_, n) => n * PERIOD), onLost: 'continue' },
    {
      pause: () => void run.send({ kind: 'pause' }),
      play: () => void run.send({ kind: 'play' }),
      seek: (micros) => void run.send({ kind: 'seek', micros }),
      follow: ([songAtZero, scale]) => void run.follow(songAtZero!, scale!),
    },
  );
  const at = new Float64Array(1);
  const first = 1_000_000;
  const plain: number[] = [];
  run.follow(0, 0);
  follower.message(0xfa, 0, 0, at);
  for (let pulse = 0; pulse < HOUR_PULSES; pulse += 1) {
    const noise = jitter(chance);
    at[0] = first + pulse * PERIOD + noise;
    run.to(Math.max(run.now, at[0]!));
    follower.message(0xf8, 0, 0, at);
    if (pulse % 6 === 0) plain.push(Math.abs(noise));
  }
  const off = run.sent
    .filter(({ bytes }) => bytes[0] === 0x90)
    .map(({ due }, n) => due - (first + n * 6 * PERIOD))
    .slice(16);
  const minute = 480;
  return {
    p99: p99(off.map(Math.abs)),
    plainP99: p99(plain),
    driftMicros: mean(off.slice(-minute)) - mean(off.slice(0, minute)),
  };
}

/** Cold starts: after how many clocks 99 of 100 have the tempo to 1 %, and how far off they are after a beat. */
function starts(jitter: Jitter): { lockPulses: number; beatP99: number } {
  const chance = seeded(15);
  const tempo: number[][] = Array.from({ length: 2 * PULSES_PER_BEAT }, () => []);
  const phase: number[] = [];
  for (let start = 0; start < STARTS; start += 1) {
    const tracker = new PulseTracker();
    for (let pulse = 0; pulse < tempo.length; pulse += 1) {
      tracker.pulse(Float64Array.of(pulse * PERIOD + jitter(chance)));
      tempo[pulse]!.push(Math.abs(tracker.periodMicros / PERIOD - 1));
      if (pulse === PULSES_PER_BEAT) phase.push(Math.abs(tracker.line[0]! - pulse * PERIOD));
    }
  }
  const lock = tempo.findIndex((_, pulse) => tempo.slice(pulse).every((misses) => p99(misses) < 0.01));
  return { lockPulses: lock < 0 ? Number.NaN : lock + 1, beatP99: p99(phase) };
}

/** Threads and devices as they are: what the sending thread handed over, against the other machine's own grid. */
async function overPty(seconds: number) {
  const folder = mkdtempSync(join(tmpdir(), 'bench-follow-'));
  const pair = await PtyPair.plugged();
  // The same clock over a pair of the same kind, to somebody who only stamps it: what the rig itself takes.
  const rig = await PtyPair.plugged();
  // Relays and master stand for cables and another machine, which no work of this machine holds up.
  for (const { relayPid } of [pair, rig]) await askForRealTime(relayPid);
  const quarters = Math.max(8, Math.round(seconds * 2));
  // Sixteenths, as on the virtual clock: of two notes a second the 99th of a hundred is the worst of all.
  const rows: Row[] = Array.from({ length: quarters * 4 }, (_, n): Row[] => [
    [n * 6 * PERIOD, 0x90, 60, 100],
    [(n * 6 + 3) * PERIOD, 0x80, 60, 64],
  ]).flat();
  const pulseMicros = new Float64Array(new SharedArrayBuffer(8 * (quarters * 24 + 1)));
  for (let n = 0; n < pulseMicros.length; n += 1) pulseMicros[n] = n * PERIOD;
  const clock = await hearInputs({ clock: `serial:${pair.near}` }, false);
  try {
    const recordPath = join(folder, 'sent.txt');
    const player = await startWorkerPlayer({
      plan: planOfRows(rows),
      durationMicros: quarters * 24 * PERIOD,
      outputs: [{ port: 'mock' }],
      recordPath,
      follow: { pulseMicros, onLost: 'continue' },
      inputs: clock.request,
    });
    const originNanos = Number(hrtime.bigint()) - player.nowMicros() * 1000;
    // A beat more than the song has, so that it ends by itself.
    const stamps = await plainReader(rig.near);
    const told = await master([pair.far, rig.far], (quarters + 1) * 24);
    await player.ended;
    const losses = player.observed.numbers[Slot.followLosses]!;
    await player.close();
    const onsets = readFileSync(recordPath, 'utf8')
      .split('\n')
      .filter((line) => /\t90 3C 64\b/.test(line))
      .map((line) => Number.parseFloat(line));
    const skipped = 16; // the first two seconds, as on the virtual clock
    // Each against the sixteenth nearest to it: a machine that stood still for a second may have left one out.
    const sixteenth = 6 * PERIOD;
    const off = onsets
      .map((micros) => micros + originNanos / 1000 - told.firstNanos / 1000)
      .map((since) => since - Math.round(since / sixteenth) * sixteenth)
      .slice(skipped);
    const sizes = off.map(Math.abs);
    const median = quantile(off, 0.5);
    const rigDelays = (await stamps())
      .map((micros, n) => micros - told.firstNanos / 1000 - n * sixteenth - told.off[n]!)
      .slice(skipped);
    const rigMedian = quantile(rigDelays, 0.5);
    return {
      seconds,
      notes: onsets.length,
      p99: p99(sizes),
      rigMedian,
      rigP99: p99(rigDelays),
      // What the relay takes on every pulse alike is in the clock that arrives: no follower can know of it.
      p99LessRig: p99(off.map((each) => Math.abs(each - rigMedian))),
      p99AboutMedian: p99(off.map((each) => Math.abs(each - median))),
      median,
      worst: Math.max(...sizes),
      plainP99: p99(told.off.slice(skipped).map(Math.abs)),
      losses,
    };
  } finally {
    await clock.close();
    await pair.remove();
    await rig.remove();
    rmSync(folder, { recursive: true });
  }
}

function master(devices: readonly string[], pulses: number): Promise<{ firstNanos: number; off: number[] }> {
  const script = fileURLToPath(new URL('./follow/master.mjs', import.meta.url));
  const child = spawn(process.execPath, [script, ...devices, String(PERIOD), String(pulses), '1000', '7']);
  void askForRealTime(child.pid!);
  return answerOf(child);
}

/** Somebody who stamps the clock, as favoured by the system as the thread that hears; once it reads. */
async function plainReader(device: string): Promise<() => Promise<number[]>> {
  const script = fileURLToPath(new URL('./follow/plain-reader.mjs', import.meta.url));
  const child = spawn(process.execPath, [script, device]);
  await once(child.stderr, 'data');
  await askForRealTime(child.pid!);
  const answer = answerOf<number[]>(child);
  return () => answer;
}

function answerOf<Answer>(child: ChildProcessWithoutNullStreams): Promise<Answer> {
  let said = '';
  child.stdout.on('data', (chunk) => {
    said += chunk;
  });
  return new Promise((resolve, reject) => {
    child.once('error', reject);
    child.once('close', () => resolve(JSON.parse(said)));
  });
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

function quantile(values: readonly number[], share: number): number {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length * share)] ?? Number.NaN;
}

const p99 = (values: readonly number[]) => quantile(values, 0.99);
