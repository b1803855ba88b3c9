import { Cc } from '../../midi/controllers.ts';
import { PEDALS } from '../../midi/pedals.ts';
import type { WireMessages } from './wire-messages.ts';

const BEND_CENTRE = [0x00, 0x40] as const;

/** What a stream of bytes with running status does to channels, as far as a silence has to undo it. */
interface Heard {
  /** Note-ons that have had no note-off yet, by channel × 128 + key. */
  readonly strikes: Uint16Array;
  /** Most of them that there were at a time. */
  readonly mostStrikes: Uint16Array;
  /** Last value of each controller by channel × 128 + number, and the highest. */
  readonly controllers: Uint8Array;
  readonly mostControllers: Uint8Array;
  /** Bits of the channels that had a message of their own; of those whose bend is, and ever was, off its centre. */
  readonly used: number;
  readonly bent: number;
  readonly everBent: number;
}

function hear({ bytes, first, count }: WireMessages): Heard {
  const strikes = new Uint16Array(16 * 128);
  const mostStrikes = new Uint16Array(16 * 128);
  const controllers = new Uint8Array(16 * 128);
  const mostControllers = new Uint8Array(16 * 128);
  let [used, bent, everBent, status] = [0, 0, 0, 0];
  for (let message = 0; message < count; message += 1) {
    let at = first[message]!;
    if (bytes[at]! >= 0xf8) continue;
    if (bytes[at]! >= 0x80) {
      status = bytes[at]!;
      at += 1;
    }
    if (status >= 0xf0) continue;
    const channel = status & 0x0f;
    const cell = channel * 128 + bytes[at]!;
    const value = bytes[at + 1]!;
    used |= 1 << channel;
    const kind = status & 0xf0;
    if (kind === 0x90 && value > 0) {
      strikes[cell]! += 1;
      mostStrikes[cell] = Math.max(mostStrikes[cell]!, strikes[cell]!);
    } else if (kind === 0x80 || kind === 0x90) strikes[cell] = Math.max(0, strikes[cell]! - 1);
    else if (kind === 0xb0) {
      controllers[cell] = value;
      mostControllers[cell] = Math.max(mostControllers[cell]!, value);
    } else if (kind === 0xe0) {
      bent &= ~(1 << channel);
      if (bytes[at] === BEND_CENTRE[0] && value === BEND_CENTRE[1]) continue;
      bent |= 1 << channel;
      everBent |= 1 << channel;
    }
  }
  return { strikes, mostStrikes, controllers, mostControllers, used, bent, everBent };
}

/**
 * What ends all that a song leaves sounding at its end: a note-off for each strike (note-on at velocity 0, MIDI 1.0,
 * p. 10), pedals up, bend home, then All Notes Off on each channel used, which never stands in for note-offs
 * (MIDI 1.0, A-4).
 */
export function endSilence(messages: WireMessages): number[][] {
  const { strikes, controllers, used, bent } = hear(messages);
  return [
    ...eachChannel(used, (channel) => [...releases(channel, strikes), ...pedals(channel, controllers)]),
    ...eachChannel(bent, (channel) => [[0xe0 | channel, ...BEND_CENTRE]]),
    ...eachChannel(used, (channel) => [[0xb0 | channel, Cc.allNotesOff, 0]]),
  ];
}

/**
 * What ends a song that is stopped at any moment. What most instruments obey comes first, within some hundredths of a
 * second: pedals up, bend home and All Notes Off. Then each channel's keys, from the lowest to the highest that it
 * strikes, get a note-off, and as many as it ever has strikes at a time; a run of keys packs well where it is the
 * same for many channels. All Sound Off is last.
 */
export function stopSilence(messages: WireMessages): number[][] {
  const { mostStrikes, mostControllers, used, everBent } = hear(messages);
  return [
    ...eachChannel(used, (channel) => [
      ...pedals(channel, mostControllers),
      ...((everBent >> channel) & 1 ? [[0xe0 | channel, ...BEND_CENTRE]] : []),
      [0xb0 | channel, Cc.allNotesOff, 0],
    ]),
    ...eachChannel(used, (channel) => releases(channel, inRuns(mostStrikes, channel))),
    ...eachChannel(used, (channel) => [[0xb0 | channel, Cc.allSoundOff, 0]]),
  ];
}

function eachChannel(bits: number, messages: (channel: number) => number[][]): number[][] {
  return Array.from({ length: 16 }, (_, channel) => channel)
    .filter((channel) => ((bits >> channel) & 1) !== 0)
    .flatMap(messages);
}

/** Once round for every key, then again for those that want a second note-off. */
function releases(channel: number, strikes: Uint16Array): number[][] {
  const left = strikes.slice(channel * 128, channel * 128 + 128);
  const found: number[][] = [];
  while (left.some((count) => count > 0))
    for (const [key, count] of left.entries()) {
      if (count === 0) continue;
      found.push([0x90 | channel, key, 0]);
      left[key]! -= 1;
    }
  return found;
}

/** The same with the keys between the lowest and the highest struck as if each were. */
function inRuns(strikes: Uint16Array, channel: number): Uint16Array {
  const all = strikes.slice();
  const own = all.subarray(channel * 128, channel * 128 + 128);
  const lowest = own.findIndex((count) => count > 0);
  const highest = own.findLastIndex((count) => count > 0);
  for (let key = Math.max(0, lowest); key <= highest; key += 1) own[key] = Math.max(1, own[key]!);
  return all;
}

function pedals(channel: number, values: Uint8Array): number[][] {
  return PEDALS.filter(({ controller }) => values[channel * 128 + controller]! > 0).map(({ controller }) => [
    0xb0 | channel,
    controller,
    0,
  ]);
}
