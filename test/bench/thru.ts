/**
 * Somebody plays along with a song that fills the wire: how long their messages take from their arrival to the wire
 * (31,250 baud, the mock port), how late the song's own are handed over and what the program uses of a core, with them
 * and without, in slices that take turns. `WIREPIT_BENCH_SECONDS` of each kind (60).
 */
import { execFileSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import buildFirst from '../support/build-first.ts';
import { seeded } from '../support/seeded.ts';
import { type DeltaEvent, songBytes, tempo } from '../support/song-bytes.ts';
import { recordBench } from './bench-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';
import { median, sleep, ticksOf } from './screen/watch.ts';
import { copyOfProgram, withoutTerminal } from './timing/children.ts';
import { Histogram } from './timing/histogram.ts';

const SLICE_SECONDS = 12;
const SKIP_MS = 2000;

export async function run(): Promise<void> {
  buildFirst();
  const folder = mkdtempSync(join(tmpdir(), 'bench-thru-'));
  try {
    await measure(folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function measure(folder: string): Promise<void> {
  const seconds = Number(process.env.WIREPIT_BENCH_SECONDS ?? 60);
  const wirepit = copyOfProgram();
  const song = join(folder, 'full.mid');
  writeFileSync(song, fullSong(SLICE_SECONDS));
  const path = join(folder, 'keyboard');
  execFileSync('mkfifo', [path]);
  const keyboard = openSync(path, 'r+');
  const chance = seeded(3);
  const songs = { alone: new Histogram(), along: new Histogram() };
  const shares: { alone: number[]; along: number[] } = { alone: [], along: [] };
  const visits = new Histogram();
  for (let slice = 0; slice < Math.max(1, Math.round(seconds / SLICE_SECONDS)); slice += 1) {
    for (const kind of ['alone', 'along'] as const) {
      const to = join(folder, `${kind}-${slice}.json`);
      const more = kind === 'along' ? ['--thru-from', `raw:${path}`] : [];
      const play = withoutTerminal([wirepit, song, '--headless', '--plan', 'file-order', ...more], {
        WIREPIT_LATENESS: `${to}:${SKIP_MS}`,
      });
      let isOver = false;
      void play.ended.then(() => {
        isOver = true;
      });
      await sleep(SKIP_MS + 1000);
      const [began, before] = [performance.now(), ticksOf(play.pid)];
      const until = began + (SLICE_SECONDS - 4) * 1000;
      while (!isOver && performance.now() < until) {
        if (kind === 'along') strike(keyboard, chance);
        await sleep(20 + chance() * 40);
      }
      if (!isOver) shares[kind].push((10 * (ticksOf(play.pid) - before)) / (performance.now() - began));
      await play.ended;
      songs[kind].addFile(to);
      if (kind === 'along') visits.addFile(to, 'visits');
    }
  }
  closeSync(keyboard);
  report(songs, visits, shares);
}

let down = -1;

/** A key down, or the one that is down up again. */
function strike(keyboard: number, chance: () => number): void {
  const isOff = down >= 0;
  const key = isOff ? down : 40 + Math.floor(chance() * 40);
  writeSync(keyboard, Uint8Array.of(isOff ? 0x80 : 0x90, key, 80));
  down = isOff ? -1 : key;
}

function report(
  songs: Record<'alone' | 'along', Histogram>,
  visits: Histogram,
  shares: Record<'alone' | 'along', readonly number[]>,
): void {
  const row = (name: string, of: Histogram) => [
    name,
    of.count,
    ...[0.5, 0.9, 0.99, 0.999].map((share) => of.quantile(share)),
    of.worstMicros,
  ];
  printTable(
    ['µs', 'messages', 'p50', 'p90', 'p99', 'p99.9', 'max'],
    [
      row('theirs, arrival to wire', visits),
      row('the song, handed over late, alone', songs.alone),
      row('the same, with them', songs.along),
    ],
  );
  const [alone, along] = [median(shares.alone) * 100, median(shares.along) * 100];
  process.stdout.write(`of a core: alone ${alone.toFixed(1)} %, with them ${along.toFixed(1)} %\n`);
  const goals: Goal[] = [
    { name: 'thru-p99-arrival-to-wire', value: visits.quantile(0.99), unit: 'µs', atMost: 2000 },
    {
      name: 'thru-song-p99-with-them-vs-alone',
      value: songs.along.quantile(0.99) / songs.alone.quantile(0.99),
      unit: 'x',
      atMost: 1.5,
    },
  ];
  printGoals(goals);
  recordBench('thru', { goals, alone, along, visits: visits.quantile(0.99) });
}

/** Every 20 ms fifteen notes on and off on one channel and a controller on another: 62.5 bytes are the wire's share, 64 are sent. */
function fullSong(seconds: number): Uint8Array {
  const events: DeltaEvent[] = [[0, tempo(1_000_000)]];
  for (let at = 0; at < seconds * 50; at += 1) {
    events.push([at === 0 ? 0 : 10, [0xb1, 11, 80 + (at % 40)]]);
    for (let note = 0; note < 15; note += 1) events.push([0, [0x90, 40 + note * 2 + (at % 2), 80]]);
    for (let note = 0; note < 15; note += 1)
      events.push([note === 0 ? 10 : 0, [0x90, 40 + note * 2 + (at % 2), 0]]);
  }
  return songBytes([events], { division: 1000 });
}
