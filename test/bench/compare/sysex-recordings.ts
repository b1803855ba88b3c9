import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromBytes, heardFromChunks } from '../../../src/core/compare/hear.ts';
import type { SysExDifference } from '../../../src/core/compare/sysex-differences.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { joinedFrom } from '../../support/joined-recording.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import { seeded } from '../../support/seeded.ts';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';
import { withSysEx } from './song-with-sysex.ts';

/** What is done to a sound recording, and what is to be said of the one SysEx it is done to; undefined: nothing. */
const CASES: Readonly<Record<string, SysExDifference['kind'] | undefined>> = {
  'as written': undefined,
  "without makers' own": undefined,
  'begun in mid-song': undefined,
  'ended in mid-song': undefined,
  'one lost': 'missing',
  'one lost, no times': 'missing',
  'a byte changed': 'changed',
  'a byte lost': 'changed',
  'one late': 'late',
};
const TAKES = 3;
/** Behind the first note so much later: past what tracks of one moment may do to each other. */
const LATE_MICROS = 100_000;

interface Judged {
  readonly song: string;
  readonly what: string;
  readonly isRight: boolean;
  readonly said: string;
}

/** Sound players and such as lose, change or delay one SysEx of a song that has some among its notes. */
export function sysExRecordings(songs: readonly PackageSong[]) {
  const judged = songs.flatMap(({ name, bytes }, place) => {
    const song = withSysEx(bytes);
    return Object.keys(CASES).flatMap((what) =>
      Array.from({ length: TAKES }, (_, take) => judge(name, song, what, 100 * place + take + 1)).flat(),
    );
  });
  const of = (what: string) => judged.filter((one) => one.what === what);
  const rightly = (some: readonly Judged[]) => some.filter(({ isRight }) => isRight).length;
  printTable(
    ['SysEx', 'recordings', 'rightly'],
    Object.keys(CASES).map((what) => [what, of(what).length, rightly(of(what))]),
  );
  for (const { song, what, said } of judged.filter(({ isRight }) => !isRight).slice(0, 40))
    process.stdout.write(`${what}: ${said}: ${song}\n`);
  const sound = judged.filter(({ what }) => CASES[what] === undefined);
  const wrong = judged.filter(({ what }) => CASES[what] !== undefined);
  const goals: Goal[] = [
    {
      name: 'compare-sysex-sound-recordings-accused',
      value: sound.length === 0 ? Number.NaN : sound.length - rightly(sound),
      atMost: 0,
    },
    {
      name: 'compare-sysex-told-rightly',
      value: (100 * rightly(wrong)) / wrong.length,
      unit: '%',
      atLeast: 99,
    },
  ];
  return { judged, goals };
}

function judge(song: string, timeline: Timeline, what: string, seed: number): Judged[] {
  const { chunks } = playHomeBuilt(timeline, ['none'], seed);
  const chance = seeded(seed);
  const within = chunks.flatMap((chunk, n) =>
    isMasterVolume(chunk) && isStruckIn(chunks.slice(0, n)) && isStruckIn(chunks.slice(n)) ? [n] : [],
  );
  const at = within[Math.floor(chance() * within.length)];
  if (at === undefined) return [];
  const picked = chunks[at]!;
  const wanted = CASES[what];
  const damaged = damage(what, chunks, at);
  const heard =
    what === 'one lost, no times'
      ? heardFromBytes(Uint8Array.from(damaged.flatMap(({ bytes }) => [...bytes])))
      : heardFromChunks(damaged);
  const { verdict, sysEx } = compareMusic(timeline, heard);
  const { differences } = sysEx;
  const [first] = differences;
  const isIt =
    first !== undefined &&
    first.kind !== 'added' &&
    first.kind === wanted &&
    first.written.bytes.join() === picked.bytes.slice(1, -1).join();
  const isRight =
    wanted === undefined
      ? differences.length === 0 && (what.includes('mid-song') || verdict === 'same')
      : differences.length === 1 && isIt && verdict === 'differs';
  const said = differences.map(({ kind }) => kind).join(', ') || verdict;
  return [{ song, what, isRight, said }];
}

function damage(what: string, chunks: readonly TimedChunk[], at: number): readonly TimedChunk[] {
  const picked = chunks[at]!;
  const as = (bytes: Uint8Array) => chunks.with(at, { ...picked, bytes });
  switch (what) {
    case "without makers' own":
      return chunks.filter(({ bytes }) => bytes[0] !== 0xf0 || bytes[1]! >= 0x7e);
    case 'begun in mid-song':
      return joinedFrom(chunks, at + (at % 3));
    case 'ended in mid-song':
      return chunks.slice(0, at + (at % 3));
    case 'one lost':
    case 'one lost, no times':
      return chunks.toSpliced(at, 1);
    case 'a byte changed':
      return as(picked.bytes.with(6, picked.bytes[6]! ^ 1));
    case 'a byte lost':
      return as(picked.bytes.filter((_, n) => n !== 6));
    case 'one late': {
      const note = chunks.findIndex(
        (chunk, n) => n > at && isStrike(chunk) && chunk.micros > picked.micros + LATE_MICROS,
      );
      if (note < 0) return chunks;
      // What follows must not lean on a status that the SysEx has cancelled.
      const whole = withStatus(chunks, note + 1);
      return whole
        .toSpliced(note + 1, 0, { ...picked, micros: chunks[note]!.micros + 1000 })
        .toSpliced(at, 1);
    }
    default:
      return chunks;
  }
}

/** The same with the status byte written out at one place. */
function withStatus(chunks: readonly TimedChunk[], place: number): TimedChunk[] {
  const next = chunks[place];
  if (next === undefined || next.bytes[0]! >= 0x80) return [...chunks];
  const status = chunks.slice(0, place).findLast(({ bytes }) => bytes[0]! >= 0x80)!.bytes[0]!;
  return chunks.with(place, { ...next, bytes: Uint8Array.of(status, ...next.bytes) });
}

const isMasterVolume = ({ bytes }: TimedChunk) => bytes.slice(0, 5).join() === '240,127,127,4,1';
/** With its status written out, as the first note behind a SysEx always is. */
const isStrike = ({ bytes }: TimedChunk) => (bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0;
const isStruckIn = (chunks: readonly TimedChunk[]) => chunks.some(isStrike);
