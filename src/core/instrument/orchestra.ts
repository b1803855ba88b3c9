import type { Instrument } from './instrument.ts';
import { isDrumChannel } from './sound-names.ts';

/** [16] the instrument behind each channel: what `--map` sends where decides. */
export type Orchestra = readonly Instrument[];

export const CHANNEL_COUNT = 16;

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
