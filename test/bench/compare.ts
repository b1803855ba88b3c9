/**
 * Recordings of invented home-built players judged against their songs: is the fault named, is a sound one left in
 * peace, are clock and missing notes found; wirepit's own records; and how long large and hostile recordings take.
 * Songs in turn belong to the half that rules may be tuned on and to the half that only tells how well they do. `WIREPIT_COMPARE_SONGS`
 * says how many songs (all).
 */
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import type { MusicComparison } from '../../src/core/compare/compare-music.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import { PLAYER_FAULTS, type PlayerFault } from '../support/home-built-player.ts';
import { debianSongs, npmSongs, type PackageSong } from '../support/package-songs.ts';
import { hasSocat } from '../support/pty-pair.ts';
import { recordBench } from './bench-record.ts';
import { type JudgedRecording, judgeRecording } from './compare/judged-recording.ts';
import { compareOwnRecord } from './compare/own-record.ts';
import { comparePtyRecord } from './compare/pty-record.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';

const MOST_SONGS = Number(process.env.WIREPIT_COMPARE_SONGS ?? Number.POSITIVE_INFINITY);
/** Of each song through a pty pair; 0 leaves that out. */
const PTY_SECONDS = Number(process.env.WIREPIT_COMPARE_PTY_SECONDS ?? 10);
const PAIRS: readonly (readonly PlayerFault[])[] = [
  ['bytes-lost', 'clock-rate'],
  ['timer-tick', 'slow-chords'],
];
const CASES = [...PLAYER_FAULTS.map((fault): readonly PlayerFault[] => [fault]), ...PAIRS];
/** Faults that move notes in time and lose none. */
const ONLY_TIME: readonly PlayerFault[] = ['tempo-ignored', 'tracks-in-turn', 'slow-adds-up'];
const MOST_SHOWN = 40;

export async function run(): Promise<void> {
  const songs = [...debianSongs(), ...npmSongs()].slice(0, MOST_SONGS);
  const judged = songs.flatMap(judgeSong);
  printByFault(judged);
  printWrong(judged);
  const own = await ownRecords(songs);
  const pty = await ptyRecords(songs);
  const large = await largeRecordings();
  const goals = printGoals([
    ...faultGoals(judged),
    ...noteGoals(judged),
    ...own.goals,
    ...pty.goals,
    ...large.goals,
  ]);
  const figures = { own: own.differ, pty: pty.differ, large: large.figures };
  recordBench('compare', { songs: songs.length, judged, ...figures, goals });
}

function judgeSong({ name, bytes }: PackageSong, place: number): JudgedRecording[] {
  const timeline = buildTimeline(readSong(bytes));
  const half = place % 2 === 0 ? 'tuning' : 'validation';
  return CASES.map((faults, n) => judgeRecording(name, half, timeline, faults, 1000 * place + n + 1));
}

/** A lone fault is to be named first, of two at once both. A sound recording is to be left in peace. */
function isNamed({ faults, codes, isSame }: JudgedRecording): boolean {
  if (faults[0] === 'none') return isSame && codes.length === 0;
  return faults.length === 1 ? codes[0] === faults[0] : faults.every((fault) => codes.includes(fault));
}

function printByFault(judged: readonly JudgedRecording[]): void {
  const share = (some: readonly JudgedRecording[]) => `${some.filter(isNamed).length} / ${some.length}`;
  printTable(
    ['fault', 'tuning', 'validation', 'ppm 50', '90', 'worst', 'gone', 'told', 'rightly', 'ms worst'],
    CASES.map((faults) => {
      const all = judged.filter((one) => one.faults.join() === faults.join() && one.shows);
      const ppm = all.map(({ ppmOff }) => ppmOff);
      return [
        faults.join(' + '),
        share(all.filter(({ half }) => half === 'tuning')),
        share(all.filter(({ half }) => half === 'validation')),
        ...[0.5, 0.9, 1].map((part) => quantile(ppm, part).toFixed(1)),
        ...[sum(all, 'gone'), sum(all, 'told'), sum(all, 'rightly')],
        Math.max(0, ...all.map(({ millis }) => millis)).toFixed(0),
      ];
    }),
  );
}

function printWrong(judged: readonly JudgedRecording[]): void {
  const wrong = judged.filter((one) => one.shows && !isNamed(one));
  for (const { song, faults, codes, isSame, claimed } of wrong.slice(0, MOST_SHOWN)) {
    const said = codes.length > 0 ? codes.join(', ') : isSame ? 'the same' : 'no cause';
    process.stdout.write(`${faults.join(' + ')}: ${said}, ${claimed} notes otherwise: ${song}\n`);
  }
  if (wrong.length > MOST_SHOWN) process.stdout.write(`and ${wrong.length - MOST_SHOWN} more\n`);
}

function faultGoals(judged: readonly JudgedRecording[]): Goal[] {
  const faulty = judged.filter(({ faults, shows }) => faults[0] !== 'none' && shows);
  const share = (some: readonly JudgedRecording[]) => (100 * some.filter(isNamed).length) / some.length;
  const lone = faulty.filter(({ faults }) => faults.length === 1);
  const sound = judged.filter(({ faults }) => faults[0] === 'none');
  const clock = lone.filter(({ faults }) => faults[0] === 'clock-rate').map(({ ppmOff }) => ppmOff);
  return [
    ...(['tuning', 'validation'] as const).map((half) => ({
      name: `compare-cause-named-first-${half}`,
      value: share(lone.filter((one) => one.half === half)),
      unit: '%',
      atLeast: 95,
    })),
    {
      name: 'compare-two-at-once-both-named',
      value: share(faulty.filter(({ faults }) => faults.length > 1)),
      unit: '%',
      atLeast: 95,
    },
    {
      name: 'compare-sound-recordings-accused-or-late',
      value: sound.length === 0 ? Number.NaN : sound.filter((one) => !isNamed(one)).length,
      atMost: 0,
    },
    { name: 'compare-clock-off-median', value: quantile(clock, 0.5), unit: 'ppm', atMost: 2 },
    { name: 'compare-clock-off-90-percent', value: quantile(clock, 0.9), unit: 'ppm', atMost: 5 },
    { name: 'compare-clock-off-worst', value: quantile(clock, 1), unit: 'ppm', atMost: 30 },
  ];
}

function noteGoals(judged: readonly JudgedRecording[]): Goal[] {
  const lost = judged.filter(({ faults }) => faults.join() === 'bytes-lost');
  const onlyTime = judged.filter(({ faults }) => faults.length === 1 && ONLY_TIME.includes(faults[0]!));
  return [
    {
      name: 'compare-lost-notes-found',
      value: (100 * sum(lost, 'rightly')) / sum(lost, 'gone'),
      unit: '%',
      atLeast: 97,
    },
    {
      name: 'compare-lost-notes-rightly',
      value: (100 * sum(lost, 'rightly')) / sum(lost, 'told'),
      unit: '%',
      atLeast: 99.9,
    },
    {
      name: 'compare-notes-claimed-where-only-time-is-wrong',
      value: onlyTime.length === 0 ? Number.NaN : sum(onlyTime, 'claimed'),
      atMost: 0,
    },
  ];
}

/** What wirepit itself sends on the virtual clock must be the song. */
async function ownRecords(songs: readonly PackageSong[]) {
  return recordsThatDiffer('compare-own-records-that-differ', songs, 1, compareOwnRecord);
}

/** And on the real one, through a pty pair, for the first seconds of each. */
async function ptyRecords(songs: readonly PackageSong[]) {
  const name = 'compare-pty-records-that-differ';
  if (!hasSocat || PTY_SECONDS === 0) return { differ: [], goals: [{ name, value: Number.NaN, atMost: 0 }] };
  return recordsThatDiffer(name, songs, 4, (bytes, timeline) =>
    comparePtyRecord(bytes, timeline, PTY_SECONDS),
  );
}

/** @param atOnce so many songs beside each other */
async function recordsThatDiffer(
  goal: string,
  songs: readonly PackageSong[],
  atOnce: number,
  compareRecord: (bytes: Uint8Array, timeline: Timeline) => Promise<MusicComparison>,
) {
  const differ: string[] = [];
  const waiting = [...songs];
  const work = async (): Promise<void> => {
    for (let song = waiting.shift(); song !== undefined; song = waiting.shift()) await judge(song);
  };
  const judge = async ({ name, bytes }: PackageSong): Promise<void> => {
    try {
      const found = await compareRecord(bytes, buildTimeline(readSong(bytes)));
      if (found.verdict === 'same') return;
      const codes = found.causes.map(({ code }) => code).join(', ');
      differ.push(
        `${name}: ${found.notes.length} notes, ${found.state.length} settings, ${found.offsMissing} releases, ${found.hanging.length} hang, ${found.heard.faults.count} faults, worst ${(found.lateness.maxMicros / 1000).toFixed(1)} ms of ${(found.boundMaxMicros / 1000).toFixed(1)}; ${codes}`,
      );
    } catch (error) {
      differ.push(`${name}: ${error instanceof Error ? error.message : String(error)}`);
    }
  };
  await Promise.all(Array.from({ length: atOnce }, work));
  for (const line of differ.slice(0, MOST_SHOWN)) process.stdout.write(`of wirepit itself: ${line}\n`);
  const value = songs.length === 0 ? Number.NaN : differ.length;
  return { differ, goals: [{ name: goal, value, atMost: 0 }] satisfies Goal[] };
}

interface LargeFigures {
  readonly as: string;
  readonly notes: number;
  readonly peakMb: number;
  readonly millis?: number;
  readonly written?: number;
  readonly matched?: number;
  readonly isTheSong?: boolean;
}

async function largeRecordings() {
  const bare = await large('bare', 0);
  const figures: LargeFigures[] = [];
  for (const [as, notes] of LARGE) figures.push(await large(as, notes));
  printTable(
    ['recording', 'notes', 'ms', 'MB over Node', 'matched', 'the song'],
    figures.map(({ as, notes, millis, peakMb, matched, isTheSong }) => [
      as,
      notes,
      millis?.toFixed(0) ?? '-',
      (peakMb - bare.peakMb).toFixed(0),
      matched ?? '-',
      isTheSong === undefined ? '-' : String(isTheSong),
    ]),
  );
  const worst = (least: number) =>
    Math.max(...figures.filter(({ notes }) => notes === least).map(({ millis }) => millis ?? Number.NaN));
  const memory = Math.max(...figures.map(({ peakMb }) => peakMb - bare.peakMb));
  const unmatched = figures
    .filter(({ as }) => as === 'song')
    .reduce((all, { written, matched }) => all + (written ?? Number.NaN) - (matched ?? 0), 0);
  const goals: Goal[] = [
    { name: 'compare-100000-notes', value: worst(100_000), unit: 'ms', atMost: 1000 },
    { name: 'compare-1000000-notes-and-hostile', value: worst(1_000_000), unit: 'ms', atMost: 10_000 },
    { name: 'compare-memory-over-node', value: memory, unit: 'MB', atMost: 300 },
    { name: 'compare-large-songs-notes-unmatched', value: unmatched, atMost: 0 },
  ];
  return { figures, goals };
}

const LARGE = [
  ['song', 100_000],
  ['song', 1_000_000],
  ['one-key', 1_000_000],
  ['random', 1_000_000],
] as const;
const CHILD = fileURLToPath(new URL('./compare/large-child.ts', import.meta.url));
const LIMIT_MS = 120_000;

/** One that does not end, or breaks, has no figures and meets no goal. */
async function large(as: string, notes: number): Promise<LargeFigures> {
  try {
    const { stdout } = await promisify(execFile)(
      process.execPath,
      ['--import', 'tsx', CHILD, String(notes), as],
      { timeout: LIMIT_MS },
    );
    return { as, notes, ...(JSON.parse(stdout) as Omit<LargeFigures, 'as' | 'notes'>) };
  } catch (error) {
    process.stdout.write(`${as}, ${notes} notes: ${String(error).split('\n')[0]}\n`);
    return { as, notes, peakMb: Number.NaN };
  }
}

function sum(some: readonly JudgedRecording[], what: 'gone' | 'told' | 'rightly' | 'claimed'): number {
  return some.reduce((total, one) => total + one[what], 0);
}

function quantile(values: readonly number[], part: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? Number.NaN;
}
