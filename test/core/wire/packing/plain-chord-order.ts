import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';

export interface ChordSetting {
  /** [16] program in force on each channel. */
  readonly programs: ArrayLike<number>;
  /** The status the receiver holds. */
  readonly held: number;
  /** [16] from this row on the channel keeps the order of all its messages. */
  readonly strictFrom: ArrayLike<number>;
  readonly drumChannels: number;
}

/** General MIDI's families of eight programs in the order in which a chord wants them heard (docs/wire.md, 4). */
const FAMILIES = [
  'piano chromatic organ guitar bass strings ensemble brass reed pipe lead pad effects ethnic percussive sounds',
]
  .join(' ')
  .split(' ');
const RANKS: readonly (readonly string[])[] = [
  ['bass'],
  ['piano', 'chromatic', 'guitar', 'ethnic', 'percussive'],
  ['organ', 'brass', 'reed', 'pipe', 'lead'],
  ['strings'],
  ['ensemble'],
  ['pad', 'effects', 'sounds'],
];

/**
 * The order of a chord as docs/wire.md tells it, by comparing: parts by what they are, and the notes of a part with
 * one another.
 */
export function plainChordOrder(
  columns: TimelineColumns,
  notes: readonly number[],
  setting: ChordSetting,
): number[] {
  const channelOf = (row: number) => columns.status[row]! & 15;
  const keyOf = (row: number) => columns.data1[row]!;
  const isDrums = (channel: number) => ((setting.drumChannels >> channel) & 1) === 1;
  const channels = [...new Set(notes.map(channelOf))];
  const partOf = (channel: number) => notes.filter((row) => channelOf(row) === channel);

  const melodic = notes.filter((row) => !isDrums(channelOf(row)));
  const top = Math.max(...melodic.map(keyOf));
  const topChannel = melodic
    .filter((row) => keyOf(row) === top)
    .map(channelOf)
    .at(-1);

  /** Small is first, as tuples: leading part, drums, rank, loudness, number of the channel. */
  const rankOf = (channel: number): number[] => {
    const part = partOf(channel);
    const loudest = Math.max(...part.map((row) => columns.data2[row]!));
    if (setting.held === (0x90 | channel) && part.length <= 2) return [0];
    if (isDrums(channel)) return [1, 0, -loudest, channel];
    const family = FAMILIES[Math.floor(setting.programs[channel]! / 8)]!;
    const rank = RANKS.findIndex((names) => names.includes(family));
    // The part with the top note goes just before its like, and before the plucked ones at the latest.
    return [1, 1 + (channel === topChannel ? Math.min(rank, 1) - 0.5 : rank), -loudest, channel];
  };

  const placeOf = (row: number): number[] => {
    const channel = channelOf(row);
    // Such a note stands where the first of its part would, and so all of them in the order of the file.
    if (row >= setting.strictFrom[channel]!) return [0, isDrums(channel) ? -127 : 0];
    const key = keyOf(row);
    if (isDrums(channel)) return [[35, 36, 38, 40].includes(key) ? 0 : 1, -columns.data2[row]!];
    const keys = partOf(channel).map(keyOf);
    const [lowest, highest] = [Math.min(...keys), Math.max(...keys)];
    return [Math.min(key - lowest, highest - key), key === lowest ? 0 : 1];
  };

  return channels
    .sort((a, b) => compare(rankOf(a), rankOf(b)))
    .flatMap((channel) => partOf(channel).sort((a, b) => compare(placeOf(a), placeOf(b)) || a - b));
}

function compare(a: readonly number[], b: readonly number[]): number {
  const differs = a.findIndex((value, i) => value !== b[i]);
  return differs < 0 ? 0 : a[differs]! - b[differs]!;
}
