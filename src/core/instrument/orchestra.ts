import type { Instrument } from './instrument.ts';
import { isDrumChannel } from './sound-names.ts';

/** [16] the instrument behind each channel: what `--map` sends where decides. */
export type Orchestra = readonly Instrument[];

export const CHANNEL_COUNT = 16;

/** 0–15. */
export const ALL_CHANNELS: readonly number[] = Array.from({ length: CHANNEL_COUNT }, (_, channel) => channel);

/** An instrument in its place: the port it is at, and what goes there. */
export interface Seat {
  /** As `--map` calls the port. */
  readonly port: string;
  readonly instrument: Instrument;
  /** How it was named on the command line; undefined where nobody said what is there. */
  readonly instrumentName: string | undefined;
  /** 0–15, ascending. */
  readonly channels: readonly number[];
}

/** `a (Lindwurm Eight)`. */
export function seatWords({ port, instrument }: Pick<Seat, 'port' | 'instrument'>): string {
  return `${port} (${instrument.name})`;
}

/** An instrument as far as it is reached: of the channels it hears only those that go to its port. */
export function reachedInstrument({
  instrument,
  channels,
}: Pick<Seat, 'instrument' | 'channels'>): Instrument {
  const isReached = (channel: number): boolean => channels.includes(channel);
  return {
    ...instrument,
    channels: instrument.channels.filter(isReached),
    drums: { ...instrument.drums, channels: instrument.drums.channels.filter(isReached) },
  };
}

/** [16] the instrument that each channel goes to; those that go nowhere have the first. */
export function seatedOrchestra(seats: readonly Seat[]): Orchestra {
  return soloOrchestra(seats[0]!.instrument).map(
    (first, channel) => seats.find(({ channels }) => channels.includes(channel))?.instrument ?? first,
  );
}

/** Channels 0–15 as people write them: `1-9,11`. */
export function channelRanges(channels: readonly number[]): string {
  const starts = channels.filter((channel) => !channels.includes(channel - 1));
  const ends = channels.filter((channel) => !channels.includes(channel + 1));
  return starts
    .map((start, at) => (start === ends[at] ? `${start + 1}` : `${start + 1}-${ends[at]! + 1}`))
    .join(',');
}

/** One instrument on all channels. */
export function soloOrchestra(instrument: Instrument): Orchestra {
  return new Array<Instrument>(CHANNEL_COUNT).fill(instrument);
}

/** Bits of the channels that play drums. */
export function drumChannelsOf(orchestra: Orchestra): number {
  return orchestra.reduce(
    (bits, instrument, channel) => (isDrumChannel(instrument, channel) ? bits | (1 << channel) : bits),
    0,
  );
}
