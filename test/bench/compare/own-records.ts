import { COMPARE_DEFAULTS, type MusicComparison } from '../../../src/core/compare/compare-music.ts';
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
/** Pairs beside each other: fewer want more time, and disturb each other less. */
const PTY_AT_ONCE = Number(process.env.WIREPIT_COMPARE_PTY_AT_ONCE ?? 2);
const MOST_SHOWN = 40;

/** What wirepit itself sends on the virtual clock must be the song. */
export async function ownRecords(songs: readonly PackageSong[]) {
  return recordsThatDiffer('compare-own-records-that-differ', songs, 1, compareOwnRecord);
}

/**
 * And on the real one, through a pty pair, for the first seconds of each. Where the machine stood still the player itself left
 * notes out, or sent them late, and says so: then "differs" is the truth, and only what contradicts that is a fault.
 */
export async function ptyRecords(songs: readonly PackageSong[]) {
  const name = 'compare-pty-records-that-differ';
  const contradiction = 'compare-pty-records-that-contradict-the-player';
  if (!hasSocat || PTY_SECONDS === 0)
    return { differ: [], goals: [{ name, value: Number.NaN, atMost: 0 }] satisfies Goal[] };
  let judged = 0;
  let contradict = 0;
  const found = await recordsThatDiffer(name, songs, PTY_AT_ONCE, async (bytes, timeline) => {
    const { found: one, leftOut, latestMicros } = await comparePtyRecord(bytes, timeline, PTY_SECONDS);
    judged += 1;
    const isLate = latestMicros > one.boundMaxMicros + COMPARE_DEFAULTS.withinMicros;
    const mayDiffer = leftOut > 0 || isLate;
    if ((one.verdict === 'differs') !== mayDiffer || one.notes.missing !== leftOut) {
      contradict += 1;
      process.stdout.write(
        `the player says ${leftOut} left out, latest ${(latestMicros / 1000).toFixed(1)} ms; compare: ${one.verdict}, ${one.notes.missing} missing, latest ${(one.lateness.maxMicros / 1000).toFixed(1)} ms\n`,
      );
    }
    return one;
  });
  const value = judged === 0 ? Number.NaN : contradict;
  return { ...found, goals: [...found.goals, { name: contradiction, value, atMost: 0 }] satisfies Goal[] };
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
        `${name}: ${found.notes.length} notes, ${found.state.length} settings, ${found.sysEx.differences.length} SysEx, ${found.offsMissing} releases, ${found.hanging.length} hang, ${found.heard.faults.count} faults, worst ${(found.lateness.maxMicros / 1000).toFixed(1)} ms of ${(found.boundMaxMicros / 1000).toFixed(1)}; ${codes}`,
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
