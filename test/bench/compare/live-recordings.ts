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
import { quantile } from './quantile.ts';
import { withSysEx } from './song-with-sysex.ts';

/** As often as the comparing thread looks. */
const LOOK_MICROS = 250_000;
/** As often as lines are written for faults of the stream. */
const FAULT_LINE_MICROS = 200_000;
/** A sound recording is watched for so long; a faulty one until so long after it first differs. */
const SOUND_MICROS = 30e6;
const AFTER_MICROS = 12e6;
/** Faults that begin later than this are not waited for. */
const LATEST_MICROS = 90e6;
/** One song of so many, for each fault; sound ones all. */
const EVERY = Number(process.env.WIREPIT_COMPARE_LIVE_EVERY ?? 4);

interface Watched {
  readonly song: string;
  readonly fault: PlayerFault;
  /** Seconds of music from what first differs to the first line, and to the line that names the fault; infinity: none. */
  readonly firstLine: number;
  readonly named: number;
  readonly lines: readonly string[];
  readonly millisALook: number;
}

/** `listen --against` on recordings as they come in: how soon is a fault told, and is a sound one left in peace. */
export function liveRecordings(songs: readonly PackageSong[]) {
  const watched = songs.flatMap(({ name, bytes }, place) => {
    const timeline = buildTimeline(readSong(bytes));
    return PLAYER_FAULTS.filter((fault) => fault === 'none' || place % EVERY === 0).flatMap((fault, n) =>
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
      'fault',
      'recordings',
      'a line ≤ 2 s',
      '50',
      '90',
      'worst',
      'named ≤ 2 s',
      'at all',
      '50',
      '90',
      'worst',
    ],
    faulty.map((fault) => {
      const some = of(fault);
      const first = some.map(({ firstLine }) => firstLine);
      const named = some.map(({ named: seconds }) => seconds);
      return [
        fault,
        some.length,
        share(first),
        ...[0.5, 0.9, 1].map((part) => quantile(first, part).toFixed(1)),
        share(named),
        `${Math.round((100 * named.filter(Number.isFinite).length) / named.length)} %`,
        ...[0.5, 0.9, 1].map((part) => quantile(named, part).toFixed(1)),
        quantile(
          some.map(({ millisALook }) => millisALook),
          0.5,
        ).toFixed(0),
      ];
    }),
  );
  for (const { song, lines } of of('none'))
    for (const line of lines) process.stdout.write(`of a sound one: ${song}: ${line}\n`);
  const accused = of('none').filter(({ lines }) => lines.length > 0).length;
  const goals: Goal[] = [
    { name: 'compare-live-sound-recordings-accused', value: accused, atMost: 0 },
    ...faulty.map((fault) => ({
      name: `compare-live-line-within-2-s-${fault}`,
      value: percent(of(fault).map(({ firstLine }) => firstLine)),
      unit: '%',
      atLeast: 95,
    })),
  ];
  return { watched, goals };
}

const percent = (seconds: readonly number[]): number =>
  (100 * seconds.filter((one) => one <= 2).length) / seconds.length;
const share = (seconds: readonly number[]): string => `${percent(seconds).toFixed(0)} %`;

function watch(song: string, timeline: Timeline, fault: PlayerFault, seed: number): Watched[] {
  const { chunks, shows, differsFromMicros } = playHomeBuilt(timeline, [fault], seed);
  const began = chunks[0]?.micros ?? 0;
  const isSound = fault === 'none';
  if (!shows || (!isSound && !(differsFromMicros - began < LATEST_MICROS))) return [];
  const end = isSound ? began + SOUND_MICROS : differsFromMicros + AFTER_MICROS;
  const live = new LiveComparison(timeline, { song, heard: '', faults: FAULT_NAMES });
  const news = new LiveNews();
  const lines: string[] = [];
  let firstLine = Number.POSITIVE_INFINITY;
  let named = Number.POSITIVE_INFINITY;
  let looks = 0;
  let millis = 0;
  const look = (micros: number): void => {
    const before = performance.now();
    const view = live.look();
    millis += performance.now() - before;
    looks += 1;
    for (const line of news.take(view)) {
      lines.push(`${((micros - began) / 1e6).toFixed(1)} s: ${line}`);
      const seconds = (micros - differsFromMicros) / 1e6;
      firstLine = Math.min(firstLine, seconds);
      if (!isSound && line.startsWith(CAUSE_GUIDE[fault].text)) named = Math.min(named, seconds);
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
  const faultLine = (faultAt + FAULT_LINE_MICROS - differsFromMicros) / 1e6;
  return [
    {
      song,
      fault,
      firstLine: Math.min(firstLine, faultLine),
      named,
      lines,
      millisALook: millis / Math.max(1, looks),
    },
  ];
}
