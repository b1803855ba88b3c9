import { COMPARE_DEFAULTS, type MusicComparison } from '../../../src/core/compare/compare-music.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import { hasSocat } from '../../support/pty-pair.ts';
import type { Goal } from '../goal-line.ts';
import { MachineWatch } from './machine-watch.ts';
import { compareOwnRecord } from './own-record.ts';
import { comparePtyRecord } from './pty-record.ts';

/** Of each song through a pty pair. */
const PTY_SECONDS = Number(process.env.WIREPIT_COMPARE_PTY_SECONDS ?? 10);
/** Pairs beside each other: fewer want more time, and disturb each other less. */
const PTY_AT_ONCE = Number(process.env.WIREPIT_COMPARE_PTY_AT_ONCE ?? 2);
const MOST_SHOWN = 40;
/** Of one song, where the machine stands still again and again. */
const MOST_TAKES = 6;

/** What wirepit itself sends on the virtual clock must be the song. */
export async function ownRecords(songs: readonly PackageSong[]) {
  return recordsThatDiffer('compare-own-records-that-differ', songs, 1, ({ bytes }, timeline) =>
    compareOwnRecord(bytes, timeline),
  );
}

/**
 * And on the real one, through a pty pair, for the first seconds of each. Where the player was held up it left notes out, or sent
 * them late, and says so: then "differs" is the truth, and only what contradicts that is a fault. Where the machine stood
 * still under the reader or under the line, nobody of ours knows: such a take is taken again.
 */
export async function ptyRecords(songs: readonly PackageSong[]) {
  const name = 'compare-pty-records-that-differ';
  const contradiction = 'compare-pty-records-that-contradict-the-player';
  if (!hasSocat || PTY_SECONDS === 0)
    return { differ: [], goals: [{ name, value: Number.NaN, atMost: 0 }] satisfies Goal[] };
  const machine = new MachineWatch();
  const tally = { judged: 0, contradict: 0, takenAgain: 0, neverInPeace: 0 };
  const takeOf = async (song: PackageSong, timeline: Timeline) => {
    for (let take = 1; ; take += 1) {
      const beganMs = Date.now();
      const record = await comparePtyRecord(song.bytes, timeline, PTY_SECONDS);
      const stoodStillMs = machine.longestSince(beganMs);
      if (record.found.verdict === 'same' || stoodStillMs === 0) return record;
      if (take === MOST_TAKES) {
        tally.neverInPeace += 1;
        process.stdout.write(
          `${song.name}: the machine stood still in each of ${take} takes, at last for ${stoodStillMs.toFixed(0)} ms\n`,
        );
        return record;
      }
      tally.takenAgain += 1;
    }
  };
  const found = await recordsThatDiffer(name, songs, PTY_AT_ONCE, async (song, timeline) => {
    const { found: one, leftOut, latestMicros } = await takeOf(song, timeline);
    tally.judged += 1;
    const isLate = latestMicros > one.boundMaxMicros + COMPARE_DEFAULTS.withinMicros;
    const mayDiffer = leftOut > 0 || isLate;
    if ((one.verdict === 'differs') !== mayDiffer || one.notes.missing !== leftOut) {
      tally.contradict += 1;
      process.stdout.write(
        `the player says ${leftOut} left out, latest ${(latestMicros / 1000).toFixed(1)} ms; compare: ${one.verdict}, ${one.notes.missing} missing, latest ${(one.lateness.maxMicros / 1000).toFixed(1)} ms\n`,
      );
    }
    return one;
  });
  machine.close();
  process.stdout.write(
    `through a pty: ${tally.judged} songs, ${tally.takenAgain} takes again as the machine stood still, ${tally.neverInPeace} songs never in peace\n`,
  );
  const value = tally.judged === 0 ? Number.NaN : tally.contradict;
  return {
    ...found,
    tally,
    goals: [...found.goals, { name: contradiction, value, atMost: 0 }] satisfies Goal[],
  };
}

/** @param atOnce so many songs beside each other */
async function recordsThatDiffer(
  goal: string,
  songs: readonly PackageSong[],
  atOnce: number,
  compareRecord: (song: PackageSong, timeline: Timeline) => Promise<MusicComparison>,
) {
  const differ: string[] = [];
  const waiting = [...songs];
  const work = async (): Promise<void> => {
    for (let song = waiting.shift(); song !== undefined; song = waiting.shift()) await judge(song);
  };
  const judge = async (song: PackageSong): Promise<void> => {
    const { name, bytes } = song;
    try {
      const found = await compareRecord(song, buildTimeline(readSong(bytes)));
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
