import type { CheckWithStretches, FileCheck } from '../../check/check-file.ts';
import { clock, counted } from '../../core/report/figure-text.ts';
import type { ShowSong } from '../../core/show/show-set.ts';
import type { Stretch } from '../../files/song-stretch.ts';
import { type ReadSet, readSet } from '../../show/read-set.ts';
import type { WireFlags } from '../options/check-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';

type CheckFlags = FlagsOf<'check'>;

/** The flags of `check`, and the ports of a set, which its map may name. */
export type SetFlags = CheckFlags & Pick<WireFlags, 'port'>;

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

/** Checks files with the flags of `check`, in their order, and tells the lengths of the stretches asked of each. */
export type CheckSongs = (
  paths: readonly string[],
  flags: SetFlags,
  stretches: readonly (readonly Stretch[])[],
  told: (check: FileCheck, lengths: CheckWithStretches['stretches']) => void,
) => Promise<FileCheck[]>;

/**
 * Every song of a set held against its own instrument, and the set as a whole. Each file is read once.
 * @throws Refusal when the set cannot be read
 */
export async function checkSet(
  path: string,
  flags: CheckFlags,
  checkSongs: CheckSongs,
): Promise<{ readonly checks: readonly FileCheck[]; readonly set: SetCheck }> {
  const read = readSet(path);
  const { songs } = read.set;
  await fetchNamedInstruments([{ map: read.map }, ...songs.map(({ instrument }) => ({ instrument }))]);
  const checks: FileCheck[] = [];
  /** Path → what each turn with this song takes, in their order. */
  const lengths = new Map<string, (number | string)[]>();
  const mapped = withSetsMap(flags, read);
  for (const [instrument, paths] of byInstrument(songs, flags.instrument)) {
    const own = instrument === undefined ? mapped : { ...mapped, instrument };
    const stretches = paths.map((path) => stretchesOf(path, songs));
    const told = ({ file }: FileCheck, found: readonly (number | string)[]) => {
      lengths.set(file, [...found]);
    };
    checks.push(...(await checkSongs(paths, own, stretches, told)));
  }
  return { checks, set: wholeSet(read, lengths) };
}

/** As `show` would have it: the set's map, over its ports, unless the command line has one. */
function withSetsMap(flags: CheckFlags, { map: setsMap, ports }: ReadSet): SetFlags {
  const map = flags.map ?? setsMap;
  return map === undefined ? flags : { ...flags, map, port: ports };
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

/** Its parts only: a song goes to another thread, and the rest of a turn is not asked for. */
function stretchesOf(path: string, songs: readonly ShowSong[]): Stretch[] {
  return songs.filter((song) => song.path === path).map(({ from, to }) => ({ from, to }));
}

function wholeSet(read: ReadSet, lengths: ReadonlyMap<string, (number | string)[]>): SetCheck {
  const { set } = read;
  const passedOver: { turn: number; file: string; why: string }[] = [];
  let seconds = 0;
  for (const [n, song] of set.songs.entries()) {
    const length = lengths.get(song.path)!.shift()!;
    if (typeof length === 'string') passedOver.push({ turn: n + 1, file: song.path, why: length });
    else seconds += song.repeats * (length / (song.tempoPercent / 100) + song.before.seconds);
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

export function setLines({ name, turns, passedOver, seconds, loops }: SetCheck): string[] {
  const over = passedOver.length === 0 ? '' : `, ${passedOver.length} passed over`;
  const again = loops ? ', and begins again' : '';
  return [
    ...passedOver.map(({ turn, why }) => `passed over, turn ${turn}: ${why}`),
    `${name}: ${counted(turns, 'turn')}${over}; a round takes ${clock(seconds)} with its rests${again}`,
  ];
}
