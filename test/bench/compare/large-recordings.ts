import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';

interface LargeFigures {
  readonly as: string;
  readonly notes: number;
  readonly peakMb: number;
  readonly millis?: number;
  readonly written?: number;
  readonly matched?: number;
  readonly isTheSong?: boolean;
}

/** How long large and hostile recordings take, and how much memory, each in a process of its own. */
export async function largeRecordings() {
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
  ['other', 1_000_000],
  ['one-key', 1_000_000],
  ['random', 1_000_000],
] as const;
const CHILD = fileURLToPath(new URL('./large-child.ts', import.meta.url));
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
