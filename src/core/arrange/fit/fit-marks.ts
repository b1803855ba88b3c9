/**
 * What a fitted song says of itself that its messages cannot say: where its drums are, and how far its bends are
 * meant to reach on an instrument that cannot be told. Written as a text event, so that other programs pass it by
 * and fitting again changes nothing.
 */
export interface FitMarks {
  /** Channels 0–15. */
  readonly drumChannels: readonly number[];
  /** [16] semitones that a bend of each channel means where no RPN 00 00 says so. */
  readonly bendRanges: readonly number[];
}

/** The same for every channel. */
export function allBendRanges(semitones: number): number[] {
  return new Array<number>(16).fill(semitones);
}

/** General MIDI 1: drums on channel 10, bends of two semitones. */
export const GENERAL_MARKS: FitMarks = { drumChannels: [9], bendRanges: allBendRanges(2) };

/** Longer texts are no marks. */
export const MOST_MARK_BYTES = 400;

const WORDS =
  /^wirepit fit: drums on channels? ([\d,]*); bends of ([\d.]+) semitones((?:, of [\d.]+ on \d+(?:,\d+)*)*)$/;

/** `wirepit fit: drums on channel 10; bends of 2 semitones, of 12 on 1,2,3`. */
export function marksText({ drumChannels, bendRanges }: FitMarks): string {
  const byRange = new Map<number, number[]>();
  for (const [channel, range] of bendRanges.entries()) {
    byRange.set(range, [...(byRange.get(range) ?? []), channel]);
  }
  const [usual, ...others] = [...byRange].sort(([, a], [, b]) => b.length - a.length);
  const apart = others.map(([range, channels]) => `, of ${range} on ${counted(channels)}`);
  return `wirepit fit: drums on channel ${counted(drumChannels)}; bends of ${usual![0]} semitones${apart.join('')}`;
}

/** Undefined where a text is no such mark. */
export function marksOf(text: string): FitMarks | undefined {
  const found = WORDS.exec(text);
  if (found === null) return undefined;
  const drumChannels = channelsIn(found[1]!);
  const bendRanges = allBendRanges(Number(found[2]));
  const named = [...drumChannels];
  for (const [, range, list] of found[3]!.matchAll(/, of ([\d.]+) on (\d+(?:,\d+)*)/g)) {
    const channels = channelsIn(list!);
    named.push(...channels);
    for (const channel of channels) bendRanges[channel] = Number(range);
  }
  const isSound =
    named.every((channel) => channel >= 0 && channel < 16) && bendRanges.every((range) => range >= 0);
  return isSound ? { drumChannels, bendRanges } : undefined;
}

/** Marks of a whole song, with what others say of the channels that are theirs. */
export function marksTogether(
  whole: FitMarks,
  others: readonly { readonly channels: readonly number[]; readonly marks: FitMarks }[],
): FitMarks {
  const all = Array.from({ length: 16 }, (_, channel) => ({
    channel,
    marks: others.find(({ channels }) => channels.includes(channel))?.marks ?? whole,
  }));
  return {
    drumChannels: all
      .filter(({ channel, marks }) => marks.drumChannels.includes(channel))
      .map(({ channel }) => channel),
    bendRanges: all.map(({ channel, marks }) => marks.bendRanges[channel]!),
  };
}

function counted(channels: readonly number[]): string {
  return channels.map((channel) => channel + 1).join(',');
}

function channelsIn(list: string): number[] {
  return list
    .split(',')
    .filter((word) => word !== '')
    .map((word) => Number(word) - 1);
}
