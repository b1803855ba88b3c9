/**
 * Damaged files through reader, timeline, plan and report, and one in fifty played on the virtual clock and judged
 * from its bytes. `WIREPIT_HOSTILE_FILES` says how many (1,000,000), `WIREPIT_HOSTILE_MINUTES` after
 * how long to stop all the same, `WIREPIT_HOSTILE_SEED` which.
 */
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { checkSong } from '../../src/core/report/check-song.ts';
import { renderReport } from '../../src/core/report/render-report.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { UnreadableSong } from '../../src/core/smf/unreadable-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { fileOrderPlan } from '../../src/core/wire/file-order-plan.ts';
import { packedPlan } from '../../src/core/wire/packed-plan.ts';
import { MIDI_WIRE } from '../../src/core/wire/wire-traits.ts';
import { cleanText } from '../../src/screen/format/text-cleaning.ts';
import { seeded } from '../support/seeded.ts';
import { recordBench } from './bench-record.ts';
import { printGoals } from './goal-line.ts';
import { damage } from './hostile/damage.ts';
import { playDamaged } from './hostile/play-damaged.ts';
import { soundFiles } from './hostile/sound-files.ts';
import { printTable } from './print-table.ts';

const FILES = Number(process.env.WIREPIT_HOSTILE_FILES ?? 1_000_000);
const MINUTES = Number(process.env.WIREPIT_HOSTILE_MINUTES ?? Number.POSITIVE_INFINITY);
const SEED = Number(process.env.WIREPIT_HOSTILE_SEED ?? 1);
const PLAY_EACH = 50;
/** Until then code is compiled and tables are filled. */
const WARM_FILES = 5000;

type Steps = Record<'read' | 'timeline' | 'plan' | 'report' | 'play', number>;

export async function run(): Promise<void> {
  const chance = seeded(SEED);
  const sound = soundFiles();
  const worst: Steps = { read: 0, timeline: 0, plan: 0, report: 0, play: 0 };
  const troubles: string[] = [];
  let [files, refused, crashes, left, played, heapStart] = [0, 0, 0, 0, 0, Number.NaN];
  let lapBegan = 0;
  const lap = (step: keyof Steps): void => {
    const now = performance.now();
    worst[step] = Math.max(worst[step], now - lapBegan);
    lapBegan = now;
  };
  const began = performance.now();
  for (let number = 0; number < FILES; number += 1) {
    if (performance.now() - began > MINUTES * 60_000) break;
    if (number === Math.min(WARM_FILES, Math.floor(FILES / 10))) heapStart = await heapMegabytes();
    files += 1;
    const bytes = damage(sound[Math.floor(chance() * sound.length)]!, chance);
    try {
      lapBegan = performance.now();
      const song = readSong(bytes);
      lap('read');
      const timeline = buildTimeline(song);
      lap('timeline');
      const plan =
        number % 2 === 0 ? fileOrderPlan(timeline.columns) : packedPlan(timeline.columns, MIDI_WIRE, {});
      lap('plan');
      renderReport(checkSong('damaged.mid', song, timeline), {
        ascii: false,
        clean: cleanText,
        mostFindings: 20,
      });
      lap('report');
      if (number % PLAY_EACH !== 0) continue;
      const leftOver = await playDamaged(plan, timeline, chance);
      lap('play');
      played += 1;
      if (leftOver === undefined) continue;
      left += 1;
      keep(troubles, bytes, leftOver, number);
    } catch (error) {
      if (error instanceof UnreadableSong) refused += 1;
      else {
        crashes += 1;
        keep(troubles, bytes, String((error as Error).stack ?? error), number);
      }
    }
  }
  const seconds = (performance.now() - began) / 1000;
  const heapEnd = await heapMegabytes();
  const figures = {
    files,
    seed: SEED,
    filesPerSecond: files / seconds,
    refused,
    played,
    crashes,
    left,
  };
  printTable(
    ['', 'figure'],
    [
      ['files', files],
      ['files a second', Math.round(figures.filesPerSecond)],
      ['refused', refused],
      ['played', played],
      ...Object.entries(worst).map(([step, ms]): [string, string] => [
        `worst ${step}`,
        `${ms.toFixed(1)} ms`,
      ]),
      ['heap once warm', `${heapStart.toFixed(1)} MB`],
      ['heap at the end', `${heapEnd.toFixed(1)} MB`],
    ],
  );
  for (const trouble of troubles) process.stdout.write(`${trouble}\n`);
  const goals = printGoals([
    { name: 'hostile-crashes', value: crashes, atMost: 0 },
    { name: 'hostile-left-sounding', value: left, atMost: 0 },
    { name: 'hostile-worst-call', value: Math.max(...Object.values(worst)), unit: 'ms', atMost: 1000 },
    { name: 'hostile-heap-growth', value: heapEnd - heapStart, unit: 'MB', atMost: 5 },
  ]);
  recordBench('hostile', { ...figures, worst, heapStart, heapEnd, troubles, goals });
}

/** The first few files that do harm are kept to be looked at. */
function keep(troubles: string[], bytes: Uint8Array, what: string, number: number): void {
  if (troubles.length >= MOST_TROUBLES) return;
  const hex = Buffer.from(bytes).toString('hex');
  troubles.push(`file ${number}: ${what.split('\n').slice(0, 4).join(' | ')}`);
  recordBench(`hostile-${number}`, { what, hex });
}

const MOST_TROUBLES = 12;

/** What is in use after the collector has been through. */
async function heapMegabytes(): Promise<number> {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  // Shared buffers are given back only after a turn of the event loop, and what held them before that.
  for (let round = 0; round < 3; round += 1) {
    collect();
    await new Promise((resolve) => setImmediate(resolve));
  }
  const { heapUsed, external, arrayBuffers } = process.memoryUsage();
  return (heapUsed + Math.max(external, arrayBuffers)) / 1e6;
}
