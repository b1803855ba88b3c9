import { CAUSE_CODES } from '../../../src/core/compare/cause.ts';
import { CAUSE_GUIDE } from '../../../src/core/compare/cause-guide.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { LiveNews } from '../../../src/core/compare/live-words.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { StreamParser } from '../../../src/core/midi/stream-parser.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { PLAYER_FAULTS, type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';
import { joinedRecordings } from './joined-recordings.ts';
import { quantile } from './quantile.ts';
import { withSysEx } from './song-with-sysex.ts';

/** As often as the comparing thread looks. */
const LOOK_MICROS = 250_000;
/** As often as lines are written for faults of the stream. */
const FAULT_LINE_MICROS = 200_000;
/** A sound recording is watched for so long; a faulty one until so long after its fault could first be told. */
const SOUND_MICROS = 30e6;
const AFTER_MICROS = 12e6;
/** Faults that begin later than this are not waited for. */
const LATEST_MICROS = 90e6;
/** A difference is to be told within so many seconds of music from when it could be; a cause may want more of it. */
const TOLD_SECONDS = 2;
const NAMED_SECONDS = 12;
/** Their players are wrong from the first note on, if by little: they may be told before anybody could be sure. */
const WRONG_FROM_THE_START: ReadonlySet<PlayerFault> = new Set([
  'no-timing',
  'clock-rate',
  'timer-tick',
  'slow-chords',
  'slow-adds-up',
]);
/** One song of so many, for each fault; sound ones all, and where few songs change their tempo early. */
const EVERY = Number(process.env.WIREPIT_COMPARE_LIVE_EVERY ?? 4);

const ALL_SONGS: ReadonlySet<PlayerFault> = new Set(['none', 'tempo-ignored']);

interface Watched {
  readonly song: string;
  readonly fault: PlayerFault;
  /** Seconds of music from when the fault could be told to the first line, and to the one that names it; infinity: none. */
  readonly told: number;
  readonly named: number;
  /** Lines that came before anything was wrong. */
  readonly tooSoon: number;
  /** Other causes that were named. */
  readonly misnamed: readonly string[];
  readonly lines: readonly string[];
  /** Milliseconds of a processor (and not of a clock: others use it too) that each look took. */
  readonly looks: readonly number[];
}

/** `listen --against` on recordings as they come in: how soon is a fault told, and is a sound one left in peace. */
export function liveRecordings(songs: readonly PackageSong[]) {
  const watched = songs.flatMap(({ name, bytes }, place) => {
    const timeline = buildTimeline(readSong(bytes));
    return PLAYER_FAULTS.filter((fault) => ALL_SONGS.has(fault) || place % EVERY === 0).flatMap((fault, n) =>
      watch(
        name,
        fault === 'running-status-over-sysex' ? withSysEx(bytes) : timeline,
        fault,
        1000 * place + n + 1,
      ),
    );
  });
  const faulty = PLAYER_FAULTS.filter((fault) => fault !== 'none');
  const of = (fault: PlayerFault) => watched.filter((one) => one.fault === fault);
  printTable(
    [
      'seconds from when it could be told',
      'recordings',
      `told ≤ ${TOLD_SECONDS}`,
      'at all',
      '50',
      '90',
      'worst',
      `named ≤ ${TOLD_SECONDS}`,
      `≤ ${NAMED_SECONDS}`,
      '50',
      '90',
      'worst',
      'misnamed',
      'ms of a processor a look',
      'worst',
    ],
    PLAYER_FAULTS.map((fault) => {
      const some = of(fault);
      const told = some.map((one) => one.told);
      const named = some.map((one) => one.named);
      const looks = some.flatMap((one) => one.looks);
      return [
        fault,
        some.length,
        ...[percent(told, TOLD_SECONDS), percent(told, Number.MAX_VALUE)].map(inPercent),
        ...[0.5, 0.9, 1].map((part) => quantile(told, part).toFixed(1)),
        ...[percent(named, TOLD_SECONDS), percent(named, NAMED_SECONDS)].map(inPercent),
        ...[0.5, 0.9, 1].map((part) => quantile(named, part).toFixed(1)),
        some.filter(({ misnamed }) => misnamed.length > 0).length,
        ...[0.5, 1].map((part) => quantile(looks, part).toFixed(1)),
      ];
    }),
  );
  for (const { song, lines } of of('none'))
    for (const line of lines) process.stdout.write(`of a sound one: ${song}: ${line}\n`);
  const accused = of('none').filter(({ lines }) => lines.length > 0).length;
  const goals: Goal[] = [
    { name: 'compare-live-sound-recordings-accused', value: accused, atMost: 0 },
    {
      name: 'compare-live-told-before-anything-was-wrong',
      value: watched.filter(({ tooSoon }) => tooSoon > 0).length,
      atMost: 0,
    },
    ...faulty.flatMap((fault): Goal[] => [
      {
        name: `compare-live-told-within-${TOLD_SECONDS}-s-${fault}`,
        value: percent(
          of(fault).map(({ told }) => told),
          TOLD_SECONDS,
        ),
        unit: '%',
        atLeast: 95,
      },
      {
        name: `compare-live-named-within-${NAMED_SECONDS}-s-${fault}`,
        value: percent(
          of(fault).map(({ named }) => named),
          NAMED_SECONDS,
        ),
        unit: '%',
        atLeast: 95,
      },
    ]),
  ];
  const joined = joinedRecordings(songs);
  return { watched, joined: joined.joined, goals: [...goals, ...joined.goals] };
}

const percent = (seconds: readonly number[], most: number): number =>
  (100 * seconds.filter((one) => one <= most).length) / seconds.length;
const inPercent = (value: number): string => `${value.toFixed(0)} %`;

function watch(song: string, timeline: Timeline, fault: PlayerFault, seed: number): Watched[] {
  const { chunks, shows, differsFromMicros, tellableFromMicros } = playHomeBuilt(timeline, [fault], seed);
  const began = chunks[0]?.micros ?? 0;
  const isSound = fault === 'none';
  if (!shows || (!isSound && !(tellableFromMicros - began < LATEST_MICROS))) return [];
  const end = isSound ? began + SOUND_MICROS : tellableFromMicros + AFTER_MICROS;
  const live = new LiveComparison(timeline, { song, heard: '', faults: FAULT_NAMES });
  const news = new LiveNews();
  const lines: string[] = [];
  const looks: number[] = [];
  const misnamed = new Set<string>();
  let told = Number.POSITIVE_INFINITY;
  let named = Number.POSITIVE_INFINITY;
  let tooSoon = 0;
  const since = (micros: number) => (micros - tellableFromMicros) / 1e6;
  const look = (micros: number): void => {
    const before = process.cpuUsage();
    const view = live.look(micros);
    const { user, system } = process.cpuUsage(before);
    looks.push((user + system) / 1000);
    for (const line of news.take(view)) {
      lines.push(`${((micros - began) / 1e6).toFixed(1)} s: ${line}`);
      if (micros < differsFromMicros && !WRONG_FROM_THE_START.has(fault)) {
        tooSoon += 1;
        continue;
      }
      told = Math.min(told, since(micros));
      const cause = CAUSE_CODES.find((code) => line.startsWith(CAUSE_GUIDE[code].text));
      if (cause === fault) named = Math.min(named, since(micros));
      else if (cause !== undefined) misnamed.add(cause);
    }
  };
  // A fault of the stream has a line of its own, whatever song it is held against.
  let faultAt = Number.POSITIVE_INFINITY;
  let now = 0;
  const faults = new StreamParser({
    message: () => {},
    sysEx: () => {},
    fault: () => {
      faultAt = Math.min(faultAt, now);
    },
  });
  let next = began + LOOK_MICROS;
  for (const { micros, bytes } of chunks) {
    for (; micros > next; next += LOOK_MICROS) look(next);
    if (micros > end || Number.isFinite(named)) break;
    live.feed(bytes, micros);
    now = micros;
    faults.feed(bytes);
  }
  // The player has stopped, and the person still looks.
  for (const last = next + 2e6; next < last && !Number.isFinite(named); next += LOOK_MICROS) look(next);
  return [
    {
      song,
      fault,
      told: Math.min(told, since(faultAt + FAULT_LINE_MICROS)),
      named,
      tooSoon,
      misnamed: [...misnamed],
      lines,
      looks,
    },
  ];
}
