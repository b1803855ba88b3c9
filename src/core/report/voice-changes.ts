import type { Timeline } from '../timeline/timeline.ts';
import type { CheckChange } from './song-check.ts';
import { SoundingKeys } from './sounding-keys.ts';

/** More parts than these nobody mutes to save voices. */
const MOST_MUTED = 2;

/**
 * Which channels to mute so that no more keys sound at once than there are voices: of those that suffice, the
 * ones with the fewest notes. Empty where muting two is not enough.
 */
export function voiceChangesOf(
  timeline: Timeline,
  voices: number,
  notesOnChannel: readonly number[],
): CheckChange[] {
  const peaks = crowdedMoments(timeline, voices);
  const played = notesOnChannel.flatMap((notes, channel) => (notes > 0 ? [channel] : []));
  const choices = played.flatMap((channel) => [
    [channel],
    ...played.filter((other) => other > channel).map((other) => [channel, other]),
  ]);
  const notesOf = (muted: readonly number[]) =>
    muted.reduce((sum, channel) => sum + notesOnChannel[channel]!, 0);
  const enough = choices.filter(
    (muted) => muted.length <= MOST_MUTED && peaks.every((peak) => fits(peak, muted, voices)),
  );
  const fewest = enough.sort((a, b) => a.length - b.length || notesOf(a) - notesOf(b))[0];
  if (fewest === undefined) return [];
  const names = fewest.map((channel) => channel + 1);
  const words = names.length === 1 ? `channel ${names[0]}` : `channels ${names.join(' and ')}`;
  return [
    {
      flags: ['--mute', names.join(',')],
      text: `leave out ${words}, so that ${voices === 1 ? 'one voice is' : `${voices} voices are`} enough`,
    },
  ];
}

/** What sounds at a moment that has too many keys: on each channel, and in all (last place). */
const TOTAL = 16;

function fits(peak: Uint16Array, muted: readonly number[], voices: number): boolean {
  let left = peak[TOTAL]!;
  for (const channel of muted) left -= peak[channel]!;
  return left <= voices;
}

/** The moments that have too many keys; those that are alike once, those with no key more than another not at all. */
function crowdedMoments(timeline: Timeline, voices: number): Uint16Array[] {
  const { columns } = timeline;
  const keys = new SoundingKeys(columns);
  const peaks: Uint16Array[] = [];
  let last: Uint16Array | undefined;
  for (let row = 0; row < columns.count; row += 1) {
    keys.take(row);
    const isLastOfMoment = row + 1 === columns.count || columns.micros[row + 1] !== columns.micros[row];
    if (!isLastOfMoment || keys.total <= voices) continue;
    if (last !== undefined && isWithin(keys.onChannel, last)) continue;
    last = new Uint16Array(TOTAL + 1);
    last.set(keys.onChannel);
    last[TOTAL] = keys.total;
    peaks.push(last);
  }
  return peaks;
}

function isWithin(keys: Uint16Array, peak: Uint16Array): boolean {
  for (let channel = 0; channel < TOTAL; channel += 1) if (keys[channel]! > peak[channel]!) return false;
  return true;
}
