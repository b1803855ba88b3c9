/**
 * Recordings of invented home-built players judged against their songs: is the fault named, is a sound one left in
 * peace, are clock and missing notes found; SysEx that is lost, changed or late; excerpts of a few seconds; wirepit's own records; and how long large and hostile
 * recordings take. Songs in turn belong to the half that rules may be tuned on and to the half that only tells how well they do.
 * `WIREPIT_COMPARE_SONGS` says how many songs (all), `WIREPIT_COMPARE_PARTS` which parts (all), with commas between them.
 */
import { debianSongs, npmSongs, type PackageSong } from '../support/package-songs.ts';
import { recordBench } from './bench-record.ts';
import { excerpts } from './compare/excerpts.ts';
import { faultRecordings } from './compare/fault-recordings.ts';
import { largeRecordings } from './compare/large-recordings.ts';
import { liveRecordings } from './compare/live-recordings.ts';
import { ownRecords, ptyRecords } from './compare/own-records.ts';
import { sysExRecordings } from './compare/sysex-recordings.ts';
import { type Goal, printGoals } from './goal-line.ts';

const MOST_SONGS = Number(process.env.WIREPIT_COMPARE_SONGS ?? Number.POSITIVE_INFINITY);

type Part = (
  songs: readonly PackageSong[],
) => { readonly goals: readonly Goal[] } | Promise<{ readonly goals: readonly Goal[] }>;

const PARTS: Readonly<Record<string, Part>> = {
  faults: faultRecordings,
  sysex: sysExRecordings,
  excerpts,
  live: liveRecordings,
  own: ownRecords,
  pty: ptyRecords,
  large: largeRecordings,
};

export async function run(): Promise<void> {
  const songs = [...debianSongs(), ...npmSongs()].slice(0, MOST_SONGS);
  const asked = process.env.WIREPIT_COMPARE_PARTS?.split(',') ?? Object.keys(PARTS);
  const figures: Record<string, unknown> = {};
  const goals: Goal[] = [];
  for (const name of asked) {
    const part = PARTS[name];
    if (part === undefined) throw new Error(`no part ${name}; there are ${Object.keys(PARTS).join(', ')}`);
    const found = await part(songs);
    goals.push(...found.goals);
    figures[name] = { ...found, goals: undefined };
  }
  recordBench('compare', { songs: songs.length, ...figures, goals: printGoals(goals) });
}
