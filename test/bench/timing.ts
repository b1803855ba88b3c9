/**
 * How late messages are at their port, in microseconds, for a song of 412 messages a second in chords of sixteen:
 * the built program with its screen in a real terminal, beside the same sending thread without a screen, a plain
 * player as one would write it first, and a loop that never sleeps (what the machine itself allows); once more with
 * the screen as an ordinary process, for where no priority is granted. Short slices
 * of all take turns, so that each meets the same weather. See docs/timing.md.
 *
 *   WIREPIT_BENCH_SECONDS   seconds to count of each kind; 60 unless said
 */
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import buildFirst from '../support/build-first.ts';
import { songBytes, tempo } from '../support/song-bytes.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';
import {
  bundle,
  type Child,
  copyOfProgram,
  inTerminal,
  outputOf,
  withoutTerminal,
} from './timing/children.ts';
import { denseSong } from './timing/dense-song.ts';
import { Histogram } from './timing/histogram.ts';

const SLICE_SECONDS = 10;
/** What a slice plays before it counts: the programs start, and their code is compiled. */
const SKIP_MS = 3000;
const EDGES = [0, 20, 40, 60, 80, 120, 160, 240, 320, 640, 1280, 2560, 5120, 10_240, 20_480];

export async function run(): Promise<void> {
  buildFirst();
  const seconds = Number(process.env.WIREPIT_BENCH_SECONDS ?? 60);
  const folder = mkdtempSync(join(tmpdir(), 'wirepit-timing-'));
  const song = join(folder, 'dense.mid');
  writeFileSync(song, denseSong(SLICE_SECONDS + SKIP_MS / 1000));
  const wirepit = copyOfProgram();
  const plain = bundle('plain-player.tsx');
  const floor = bundle('floor.ts');
  const own = (to: string) => ({ WIREPIT_LATENESS: `${to}:${SKIP_MS}` });
  const kinds: Record<string, (histogram: string) => Child> = {
    floor: (to) => withoutTerminal([floor, song, to, String(SKIP_MS)]),
    alone: (to) => withoutTerminal([wirepit, song, '--headless'], own(to)),
    screen: (to) => inTerminal([wirepit, song], own(to)),
    'screen, no priority': (to) => inTerminal([wirepit, song], { ...own(to), WIREPIT_PRIORITY: 'off' }),
    plain: (to) => inTerminal([plain, song, to, String(SKIP_MS)]),
  };
  const drift = startDrift(wirepit, folder);
  const histograms = Object.fromEntries(Object.keys(kinds).map((kind) => [kind, new Histogram()]));
  let residentMb = 0;
  const slices = Math.max(1, Math.round(seconds / SLICE_SECONDS));
  for (let slice = 0; slice < slices; slice += 1) {
    for (const [kind, start] of Object.entries(kinds)) {
      const to = join(folder, `${kind}-${slice}.json`);
      const child = start(to);
      const memory = setTimeout(
        () => {
          if (kind === 'screen') residentMb = Math.max(residentMb, residentMbOf(child.pid));
        },
        SLICE_SECONDS * 1000 + SKIP_MS / 2,
      );
      await child.ended;
      clearTimeout(memory);
      histograms[kind]!.addFile(to);
    }
  }
  const driftMicros = await drift;
  const garbage = await garbageBytes();
  report(histograms, { residentMb, driftMicros, ...garbage });
}

interface Others {
  readonly residentMb: number;
  readonly driftMicros: { readonly seconds: number; readonly micros: number };
  readonly bytesPerMessage: number;
}

function report(histograms: Record<string, Histogram>, others: Others): void {
  const rows = Object.entries(histograms).map(([kind, h]) => [
    kind,
    h.count,
    ...[0.5, 0.9, 0.99, 0.999].map((share) => h.quantile(share)),
    h.worstMicros,
  ]);
  printTable(['lateness, µs', 'messages', 'p50', 'p90', 'p99', 'p99.9', 'max'], rows);
  process.stdout.write('\nmessages by lateness, from µs\n');
  const { floor, alone, screen, plain } = histograms as Record<
    'floor' | 'alone' | 'screen' | 'plain',
    Histogram
  >;
  printTable(
    ['from', ...Object.keys(histograms)],
    EDGES.map((edge, step) => [String(edge), ...Object.values(histograms).map((h) => h.steps(EDGES)[step]!)]),
  );
  const p50 = screen.quantile(0.5);
  const p99 = screen.quantile(0.99);
  const goals: Goal[] = [
    { name: 'timing-p50-with-screen', value: p50, unit: 'us', atMost: 60 },
    { name: 'timing-p99-screen-vs-alone', value: p99 / alone.quantile(0.99), unit: 'x', atMost: 1.5 },
    { name: 'timing-p50-better-than-plain', value: plain.quantile(0.5) / p50, unit: 'x', atLeast: 10 },
    { name: 'timing-p99-better-than-plain', value: plain.quantile(0.99) / p99, unit: 'x', atLeast: 4 },
    { name: 'timing-drift-real', value: Math.abs(others.driftMicros.micros), unit: 'us', atMost: 1000 },
    { name: 'timing-garbage-per-message', value: others.bytesPerMessage, unit: 'B', atMost: 0 },
    { name: 'memory-playing-with-screen', value: others.residentMb, unit: 'MB', atMost: 100 },
  ];
  const floorP99 = floor.quantile(0.99);
  if (floorP99 <= BYTE_MICROS)
    goals.push({ name: 'timing-p99-with-screen', value: p99, unit: 'us', atMost: BYTE_MICROS });
  process.stdout.write(
    `\nthe machine's own floor (a loop that never sleeps): p99 ${floorP99} µs, max ${floor.worstMicros} µs` +
      `${floorP99 <= BYTE_MICROS ? '' : '; too high to judge p99 by one byte of wire'}\n` +
      `drift over ${others.driftMicros.seconds} s of real time: ${others.driftMicros.micros.toFixed(0)} µs\n`,
  );
  const verdicts = printGoals(goals);
  recordBench('timing', { rows, edges: EDGES, others, verdicts });
}

/** One byte of the MIDI wire. */
const BYTE_MICROS = 320;

/**
 * A clock that gains or loses shows at the end of a long run: a note each second beside everything else, and how
 * much later (or earlier) the last one is than the first, by their lines in a file.
 */
async function startDrift(wirepit: string, folder: string): Promise<{ seconds: number; micros: number }> {
  const seconds = Number(process.env.WIREPIT_BENCH_SECONDS ?? 60) >= 60 ? 300 : 30;
  const song = join(folder, 'slow.mid');
  const beats = Array.from({ length: seconds + 1 }, (_, i): [number, number[]] => [
    i === 0 ? 0 : 1000,
    [0xb0, 20, i % 128],
  ]);
  writeFileSync(song, songBytes([[[0, tempo(1_000_000)], ...beats]], { division: 1000 }));
  const lines = join(folder, 'slow.txt');
  await withoutTerminal([wirepit, song, '--headless', '--plan', 'file-order', '--port', `file:${lines}`])
    .ended;
  const times = readFileSync(lines, 'latin1')
    .split('\n')
    .filter((line) => / 14 [0-9A-F]{2}$/.test(line))
    .map((line) => Number(line.split(' ')[0]));
  // The moment itself is late by tens of microseconds, now and then by more: the least late of ten tells the clock.
  const late = times.map((time, i) => time - times[0]! - i * 1_000_000);
  return { seconds, micros: Math.min(...late.slice(-10)) - Math.min(...late.slice(0, 10)) };
}

async function garbageBytes(): Promise<{ bytesPerMessage: number }> {
  const flags = ['--min-semi-space-size=128', '--max-semi-space-size=128'];
  const { looking, grown } = JSON.parse(await outputOf([...flags, bundle('garbage.ts')])) as {
    looking: number;
    grown: number[];
  };
  return { bytesPerMessage: Math.round((Math.min(...grown) - looking) / 1000) / 100 };
}

function residentMbOf(pid: number): number {
  const [, kilobytes] = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'latin1')) ?? [];
  return Number(kilobytes) / 1024;
}
