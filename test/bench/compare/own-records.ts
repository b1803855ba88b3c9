import type { MusicComparison } from '../../../src/core/compare/compare-music.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import { hasSocat } from '../../support/pty-pair.ts';
import type { Goal } from '../goal-line.ts';
import { compareOwnRecord } from './own-record.ts';
import { comparePtyRecord } from './pty-record.ts';

/** Of each song through a pty pair. */
const PTY_SECONDS = Number(process.env.WIREPIT_COMPARE_PTY_SECONDS ?? 10);
const MOST_SHOWN = 40;

/** What wirepit itself sends on the virtual clock must be the song. */
export async function ownRecords(songs: readonly PackageSong[]) {
  return recordsThatDiffer('compare-own-records-that-differ', songs, 1, compareOwnRecord);
}

/** And on the real one, through a pty pair, for the first seconds of each. */
export async function ptyRecords(songs: readonly PackageSong[]) {
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
