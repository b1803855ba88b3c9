/**
 * What the screen costs and how it answers, in a pseudo-terminal of 80x24 read by a terminal emulator, beside
 * plain Ink drawing the same cells at the same rate in the same run. `SCREEN_SECONDS` (default 30) is how long
 * each program is watched; `SCREEN_DAY=full` draws all frames of the simulated day instead of one a second.
 */
import { execFileSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import { type PtyRun, runInPty } from '../support/pty-run.ts';
import { WirePipe } from '../support/wire-pipe.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';
import { bareNode, firstByte, firstFrame } from './screen/first-frame.ts';
import { screenAnswers, wireAnswers } from './screen/key-answers.ts';
import {
  bundlePrograms,
  DAY_PROGRAM,
  demoSong,
  PROGRAM,
  resultPath,
  SCREEN_PROGRAM,
} from './screen/programs.ts';
import { type Link, type LinkRun, latenessQuantile, runOnLink } from './screen/slow-link.ts';
import { median, quantile, sleep, type Watched, watch } from './screen/watch.ts';

const SECONDS = Number(process.env.SCREEN_SECONDS ?? 30);
const ROUNDS = 3;
const STARTS = 9;
const PRESSES = 200;
const LINK_ROUNDS = 5;
const LINK_SECONDS = 14;
const BYTE_MICROS = 320;
/** After start-up: compiled, and the first pages of the song drawn. */
const WARM_UP_MILLIS = 5000;

export async function run(): Promise<void> {
  await bundlePrograms();
  const song = demoSong();
  process.stdout.write(`song ${song}, 80x24, ${SECONDS} s each\n`);
  const costs = await measureCosts(song);
  const starts = await measureStarts(song);
  const answers = await measureAnswers(song);
  const links = await measureLinks(song);
  const days = measureDays(song);
  const goals = printGoals([
    ...costs.goals,
    ...starts.goals,
    ...answers.goals,
    ...links.goals,
    ...days.goals,
  ]);
  recordBench('screen', {
    song,
    seconds: SECONDS,
    costs: costs.figures,
    starts: starts.figures,
    answers: answers.figures,
    links: links.figures,
    days: days.figures,
    goals,
  });
}

interface Measured {
  readonly figures: unknown;
  readonly goals: readonly Goal[];
}

/** The built program, and the same screen three ways; interleaved, so that a busy hour disturbs all alike. */
async function measureCosts(song: string): Promise<Measured> {
  const ways: Record<string, readonly string[]> = {
    wirepit: [PROGRAM, song, '--port', 'mock', '--stay'],
    'same screen alone': bench('ours', song),
    'plain Ink': bench('ink', song),
    'Ink incremental': bench('ink-incremental', song),
  };
  const runs: Record<string, Watched[]> = Object.fromEntries(Object.keys(ways).map((name) => [name, []]));
  const paused: Watched[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    for (const [name, args] of Object.entries(ways)) {
      const run = runInPty(process.execPath, args);
      await run.untilText('playing');
      await sleep(WARM_UP_MILLIS);
      runs[name]!.push(await watch(run, SECONDS / ROUNDS));
      if (name === 'wirepit') paused.push(await watchPaused(run));
      await run.close();
    }
  }
  runs[PAUSED] = paused;
  const of = (name: string, key: keyof Watched) => median(runs[name]!.map((watched) => watched[key]));
  printTable(
    ['', 'bytes/s', '% of a core', 'resident MB'],
    Object.keys(runs).map((name) => [
      name,
      of(name, 'bytesPerSecond').toFixed(0),
      of(name, 'processorPercent').toFixed(1),
      of(name, 'residentMb').toFixed(0),
    ]),
  );
  const bytes = of('wirepit', 'bytesPerSecond');
  return {
    figures: runs,
    goals: [
      { name: 'screen-bytes-per-second', value: bytes, atMost: 3000 },
      {
        name: 'screen-times-fewer-bytes-than-ink',
        value: of('plain Ink', 'bytesPerSecond') / bytes,
        atLeast: 8,
        unit: 'x',
      },
      { name: 'screen-processor-share', value: of('wirepit', 'processorPercent'), atMost: 3, unit: '%' },
      { name: 'screen-bytes-when-paused', value: of(PAUSED, 'bytesPerSecond'), atMost: 0 },
      { name: 'screen-resident-memory', value: of('wirepit', 'residentMb'), atMost: 80, unit: 'MB' },
    ],
  };
}

const PAUSED = 'wirepit, paused';

/** Nothing moves: once the last message has faded, nothing may be sent. */
async function watchPaused(run: PtyRun): Promise<Watched> {
  run.send(' ');
  await run.untilText('paused');
  await sleep(6000);
  return watch(run, SECONDS / ROUNDS / 2);
}

function bench(way: string, song: string): readonly string[] {
  return [SCREEN_PROGRAM, way, song, resultPath('unused.json'), '3600'];
}

async function measureStarts(song: string): Promise<Measured> {
  const ours: number[] = [];
  const bare: number[] = [];
  const bytes: number[] = [];
  for (let start = 0; start < STARTS; start++) {
    ours.push(await firstFrame(song));
    bare.push(await bareNode());
    bytes.push(await firstByte(song, resultPath('start-wire')));
  }
  process.stdout.write(
    `first frame after ${median(ours).toFixed(0)} ms, first byte on the wire after ${median(bytes).toFixed(0)} ms (${STARTS} starts, medians); bare node ${median(bare).toFixed(0)} ms\n`,
  );
  return {
    figures: { ours, bare, bytes },
    goals: [{ name: 'screen-first-frame', value: median(ours), atMost: 400, unit: 'ms' }],
  };
}

async function measureAnswers(song: string): Promise<Measured> {
  rmSync(resultPath('wire'), { force: true });
  const wire = new WirePipe(resultPath('wire'));
  const run: PtyRun = runInPty(process.execPath, [PROGRAM, song, '--port', `raw:${wire.path}`, '--stay']);
  await run.untilText('playing');
  await sleep(2000);
  const screen = await screenAnswers(run, PRESSES);
  run.send(' ');
  await run.untilText('paused');
  await sleep(500);
  const onWire = await wireAnswers(run, wire, PRESSES);
  await run.close();
  wire.close();
  const row = (name: string, list: readonly number[]) => [
    name,
    list.length,
    ...[0.5, 0.99, 1].map((share) => quantile(list, share).toFixed(1)),
  ];
  printTable(
    ['key answered, ms', 'presses', 'p50', 'p99', 'max'],
    [row('on the wire', onWire), row('on screen', screen)],
  );
  return {
    figures: { onWire, screen },
    goals: [
      { name: 'key-on-the-wire-p99', value: quantile(onWire, 0.99), atMost: 20, unit: 'ms' },
      { name: 'key-on-screen-p99', value: quantile(screen, 0.99), atMost: 100, unit: 'ms' },
    ],
  };
}

async function measureLinks(song: string): Promise<Measured> {
  const links: readonly Link[] = [
    { name: 'fast link', options: {} },
    { name: '2 kB/s', options: { bytesPerSecond: 2000 } },
    { name: 'nobody reads', options: {}, isPaused: true },
  ];
  const runs = new Map<string, LinkRun[]>(links.map(({ name }) => [name, []]));
  for (let round = 0; round < LINK_ROUNDS; round++) {
    for (const link of links) runs.get(link.name)!.push(await runOnLink(song, LINK_SECONDS, link));
  }
  // Each run for itself, and the middle one of them: one busy second of the machine spoils one run only.
  const late = (name: string, share: number) =>
    median(runs.get(name)!.map(({ counts }) => latenessQuantile(counts, share)));
  const answered = (name: string, share: number) =>
    quantile(
      runs.get(name)!.flatMap(({ answers }) => answers),
      share,
    );
  printTable(
    ['link', 'bytes/s', 'key on screen p50 ms', 'p99 ms', 'hand-over late p50 µs', 'p99 µs', 'p99.9 µs'],
    links.map(({ name }) => [
      name,
      median(runs.get(name)!.map(({ bytesPerSecond }) => bytesPerSecond)).toFixed(0),
      answered(name, 0.5).toFixed(0),
      answered(name, 0.99).toFixed(0),
      late(name, 0.5),
      late(name, 0.99),
      late(name, 0.999),
    ]),
  );
  // Judged beside a fast link in the same run, and not below what one byte takes on the wire.
  const floor = Math.max(BYTE_MICROS, late('fast link', 0.99));
  return {
    figures: Object.fromEntries(runs),
    goals: [
      { name: 'slow-link-key-on-screen-p99', value: answered('2 kB/s', 0.99), atMost: 1500, unit: 'ms' },
      { name: 'slow-link-lateness-beside-fast', value: late('2 kB/s', 0.99) / floor, atMost: 1.5, unit: 'x' },
      {
        name: 'unread-lateness-beside-fast',
        value: late('nobody reads', 0.99) / floor,
        atMost: 1.5,
        unit: 'x',
      },
    ],
  };
}

interface Day {
  readonly frames: number;
  readonly microsPerFrame: number;
  readonly marks: readonly { readonly frame: number; readonly heapMb: number; readonly residentMb: number }[];
}

/** A day drawn as fast as it goes. Ink needs milliseconds a frame and grows steadily: half an hour of it is enough. */
function measureDays(song: string): Measured {
  const rate = process.env.SCREEN_DAY === 'full' ? 12 : 1;
  const ours = day('ours', song, 86_400 * rate, rate);
  const ink = day('ink', song, 1800, 1);
  const growth = ({ marks }: Day) => marks.at(-1)!.heapMb - marks[1]!.heapMb;
  const perThousand = (figures: Day) => (growth(figures) / (figures.frames * 0.75)) * 1000;
  printTable(
    [
      'simulated',
      'frames',
      'µs a frame',
      'heap MB after a quarter',
      'at the end',
      'growth kB per 1,000 frames',
    ],
    [
      ['wirepit, a day', ours],
      ['plain Ink, half an hour', ink],
    ].map(([name, figures]) => {
      const { frames, microsPerFrame, marks } = figures as Day;
      const heap = [marks[1]!.heapMb.toFixed(1), marks.at(-1)!.heapMb.toFixed(1)];
      return [
        name as string,
        frames,
        microsPerFrame.toFixed(0),
        ...heap,
        (perThousand(figures as Day) * 1000).toFixed(1),
      ];
    }),
  );
  return {
    figures: { ours, ink },
    goals: [{ name: 'screen-growth-over-a-day', value: Math.max(0, growth(ours)), atMost: 2, unit: 'MB' }],
  };
}

function day(way: string, song: string, frames: number, rate: number): Day {
  const args = ['--expose-gc', DAY_PROGRAM, way, song, String(frames), String(rate)];
  return JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' })) as Day;
}
