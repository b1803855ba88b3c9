import { clamp } from './clamp.ts';
import { Op } from './command.ts';

/** What a person set for each channel while the song runs; an `ObservedState` carries these tables too. */
export interface ChannelSettings {
  /** [16] 1 while muted. */
  readonly muted: Uint8Array;
  /** [16] 1 while soloed. */
  readonly soloed: Uint8Array;
  /** [16] added to every velocity, −127 … 127. */
  readonly velocityTrim: Int8Array;
  /** [16] semitones, −48 … 48, on top of the song's transposition. */
  readonly channelTranspose: Int8Array;
  /** [16] program sent instead of the song's, −1 for none. */
  readonly programOverride: Int16Array;
}

/** Sets what a command says of a channel, within its bounds; a program that is none takes the override back. Others set nothing. */
export function setForChannel(settings: ChannelSettings, op: number, channel: number, value: number): void {
  switch (op) {
    case Op.mute:
      settings.muted[channel] = value !== 0 ? 1 : 0;
      break;
    case Op.solo:
      settings.soloed[channel] = value !== 0 ? 1 : 0;
      break;
    case Op.velocityTrim:
      settings.velocityTrim[channel] = Math.round(clamp(value, -127, 127));
      break;
    case Op.channelTranspose:
      settings.channelTranspose[channel] = Math.round(clamp(value, -48, 48));
      break;
    case Op.programOverride:
      settings.programOverride[channel] = value >= 0 && value < 128 ? value : -1;
      break;
  }
}

/** Bits of the channels one hears: with any solo only the soloed ones; mute wins over solo. */
export function audibleChannels(settings: ChannelSettings): number {
  let soloed = 0;
  let muted = 0;
  for (let channel = 0; channel < 16; channel += 1) {
    if (settings.soloed[channel] !== 0) soloed |= 1 << channel;
    if (settings.muted[channel] !== 0) muted |= 1 << channel;
  }
  return (soloed === 0 ? 0xffff : soloed) & ~muted;
}
