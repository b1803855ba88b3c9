import type { FileCheck } from '../../check/check-file.ts';
import { clock, counted } from '../../core/report/figure-text.ts';
import type { ShowSong } from '../../core/show/show-set.ts';
import { loadSong } from '../../files/load-song.ts';
import { type ReadSet, readSet } from '../../show/read-set.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import { endOf, startOf } from '../options/play-flags.ts';

type CheckFlags = FlagsOf<'check'>;

/** What `check` says of a set besides what it says of its songs. A stable surface: docs/check-json.md. */
export interface SetCheck {
  readonly schema: 'wirepit-check-set/1';
  readonly set: string;
  readonly name: string;
  /** Turns of a round, and those that `show` would pass over, each with why. */
  readonly turns: number;
  readonly passedOver: readonly { readonly turn: number; readonly file: string; readonly why: string }[];
  /** A round: the songs with their own tempo, ends and repeats, and the rests before them. */
  readonly seconds: number;
  readonly loops: boolean;
}

export function isSet(path: string): boolean {
  return /\.toml$/i.test(path);
}

/**
 * Every song of a set held against its own instrument, and the set as a whole.
 * @param checkSongs checks files with the flags of `check`, in their order
 * @throws Refusal when the set cannot be read
 */
export async function checkSet(
  path: string,
  flags: CheckFlags,
  checkSongs: (paths: readonly string[], flags: CheckFlags) => Promise<FileCheck[]>,
): Promise<{ readonly checks: readonly FileCheck[]; readonly set: SetCheck }> {
  const read = readSet(path);
  const { songs } = read.set;
  await fetchNamedInstruments([{ map: read.map }, ...songs.map(({ instrument }) => ({ instrument }))]);
  const checks: FileCheck[] = [];
  for (const [instrument, paths] of byInstrument(songs, flags.instrument)) {
    const own = instrument === undefined ? flags : { ...flags, instrument };
    checks.push(...(await checkSongs(paths, own)));
  }
  return { checks, set: wholeSet(read) };
}

/** A song that stands in the set twice is checked once. */
function byInstrument(songs: readonly ShowSong[], usual: string | undefined) {
  const groups = new Map<string | undefined, string[]>();
  for (const { path, instrument = usual } of songs) {
    const paths = groups.get(instrument) ?? [];
    groups.set(instrument, paths);
    if (!paths.includes(path)) paths.push(path);
  }
  return groups;
}

function wholeSet(read: ReadSet): SetCheck {
  const { set } = read;
  const passedOver: { turn: number; file: string; why: string }[] = [];
  let seconds = 0;
  for (const [n, song] of set.songs.entries()) {
    try {
      seconds += song.repeats * (lengthOf(song) + song.before.seconds);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      passedOver.push({ turn: n + 1, file: song.path, why: error.message });
    }
  }
  return {
    schema: 'wirepit-check-set/1',
    set: read.path,
    name: set.name,
    turns: set.songs.length,
    passedOver,
    seconds: Math.round(seconds * 10) / 10,
    loops: set.loops,
  };
}

/** Seconds that a song takes as the set plays it. Throws what `show` would pass it over for. */
function lengthOf(song: ShowSong): number {
  const { timeline } = loadSong(song.path);
  const from = startOf(song, timeline);
  const to = endOf(song, timeline)?.micros ?? timeline.durationMicros;
  return (to - from) / 1e6 / (song.tempoPercent / 100);
}

export function setLines({ name, turns, passedOver, seconds, loops }: SetCheck): string[] {
  const over = passedOver.length === 0 ? '' : `, ${passedOver.length} passed over`;
  const again = loops ? ', and begins again' : '';
  return [
    ...passedOver.map(({ turn, why }) => `passed over, turn ${turn}: ${why}`),
    `${name}: ${counted(turns, 'turn')}${over}; a round takes ${clock(seconds)} with its rests${again}`,
  ];
}
