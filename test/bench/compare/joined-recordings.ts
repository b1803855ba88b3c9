import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { LiveNews } from '../../../src/core/compare/live-words.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { joinedAt, repeated } from '../../support/joined-recording.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';

const LOOK_MICROS = 250_000;
const SOUND_MICROS = Number(process.env.WIREPIT_COMPARE_JOINED_SECONDS ?? 30) * 1e6;
/** Where the listener comes in, as a share of the recording; whether in the middle of a message; whether the song is repeated. */
const JOINS = [
  { at: 0.02, isTorn: false, isLoop: false },
  { at: 0.15, isTorn: true, isLoop: false },
  { at: 0.4, isTorn: false, isLoop: false },
  { at: 0.6, isTorn: true, isLoop: false },
  { at: 0.85, isTorn: false, isLoop: true },
] as const;

interface Joined {
  readonly song: string;
  readonly join: string;
  readonly lines: readonly string[];
  readonly page: readonly string[];
}

/** Sound players whom a listener joins in the middle of the song: neither while they play nor at the end is anything said against them. */
export function joinedRecordings(songs: readonly PackageSong[]) {
  const joined = songs.flatMap(({ name, bytes }, place) => {
    const timeline = buildTimeline(readSong(bytes));
    return JOINS.map((join, n) => watchJoined(name, timeline, join, 1000 * place + 100 + n));
  });
  printTable(
    ['sound, joined at', 'recordings', 'lines against it', 'page against it'],
    JOINS.map((join) => {
      const some = joined.filter((one) => one.join === wordsOf(join));
      return [
        wordsOf(join),
        some.length,
        some.filter(({ lines }) => lines.length > 0).length,
        some.filter(({ page }) => page.length > 0).length,
      ];
    }),
  );
  for (const { song, join, lines, page } of joined) {
    for (const line of lines) process.stdout.write(`of a sound one joined at ${join}: ${song}: ${line}\n`);
    if (page.length > 0)
      process.stdout.write(`page of a sound one joined at ${join}: ${song}: ${page.join(', ')}\n`);
  }
  const goals: Goal[] = [
    {
      name: 'compare-live-sound-joined-accused',
      value: joined.filter(({ lines }) => lines.length > 0).length,
      atMost: 0,
    },
    {
      name: 'compare-page-sound-joined-accused',
      value: joined.filter(({ page }) => page.length > 0).length,
      atMost: 0,
    },
  ];
  return { joined, goals };
}

const wordsOf = ({ at, isTorn, isLoop }: (typeof JOINS)[number]): string =>
  `${Math.round(100 * at)} %${isTorn ? ', in a message' : ''}${isLoop ? ', and repeated' : ''}`;

function watchJoined(song: string, timeline: Timeline, join: (typeof JOINS)[number], seed: number): Joined {
  const { chunks } = playHomeBuilt(timeline, ['none'], seed);
  const heard = joinedAt(chunks, join.at, join.isTorn);
  const again = join.isLoop ? repeated(heard, [chunks]) : heard;
  const end = (again[0]?.micros ?? 0) + SOUND_MICROS + (join.isLoop ? (heard.at(-1)?.micros ?? 0) : 0);
  const live = new LiveComparison(timeline, { song, heard: '', faults: FAULT_NAMES });
  const news = new LiveNews();
  const lines: string[] = [];
  const look = (micros: number): void => {
    for (const line of news.take(live.look(micros))) lines.push(`${(micros / 1e6).toFixed(1)} s: ${line}`);
  };
  let next = LOOK_MICROS;
  for (const { micros, bytes } of again) {
    if (micros > end) break;
    for (; micros > next; next += LOOK_MICROS) look(next);
    live.feed(bytes, micros);
  }
  for (const last = next + 2e6; next < last; next += LOOK_MICROS) look(next);
  return { song, join: wordsOf(join), lines, page: against(live.whole()) };
}

/** What the page at the end says against a player. */
export function against(document: ComparisonDocument): string[] {
  const { notes, offs, state, faults, causes, hanging, isTheSong } = document;
  // Who never writes a status byte anew cannot be read by one who comes in later: where nothing was heard nobody is accused.
  if (notes.heard === 0) return [];
  const count = (name: string, some: number) => (some > 0 ? [`${some} ${name}`] : []);
  return [
    ...count('another song', isTheSong || notes.heard < 24 ? 0 : 1),
    ...count('missing', notes.missing),
    ...count('added', notes.added),
    ...count('changed', notes.changed),
    ...count('late', notes.late),
    ...count('not let go', offs.missing),
    ...count('hanging', hanging.length),
    ...count('sound otherwise', state.length),
    ...count('faults', Object.keys(faults).length),
    ...causes.map(({ code }) => code),
  ];
}
