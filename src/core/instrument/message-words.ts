import { controllerName } from '../midi/controllers.ts';
import { STATUS_TABLE } from '../midi/status.ts';
import { classifySysEx } from '../midi/universal-sysex.ts';
import { programName } from './general-midi.ts';
import { GENERAL_MIDI } from './general-midi-instrument.ts';
import type { Instrument } from './instrument.ts';
import { isDrumChannel, soundName } from './sound-names.ts';

type Words = (data1: number, data2: number, channel: number, instrument: Instrument) => string;

/** By high nibble, 8–E. */
const CHANNEL_WORDS: readonly Words[] = [
  (key, velocity, channel, on) => `note off ${soundName(on, channel, key)}, velocity ${velocity}`,
  (key, velocity, channel, on) =>
    velocity > 0
      ? `note on ${soundName(on, channel, key)}, velocity ${velocity}`
      : `note off ${soundName(on, channel, key)} (velocity 0)`,
  (key, pressure, channel, on) => `key pressure ${soundName(on, channel, key)}, ${pressure}`,
  (controller, value) => `${controllerName(controller)} ${value}`,
  (program, _data2, channel, on) =>
    isDrumChannel(on, channel) ? `program ${program + 1}` : `program ${program + 1} ${programName(program)}`,
  (pressure) => `channel pressure ${pressure}`,
  (low, high) => `pitch bend ${bendWords((low | (high << 7)) - BEND_CENTRE)}`,
];

const BEND_CENTRE = 8192;

/** Pieces of a quarter frame, MIDI Time Code (RP-004/008). */
const QUARTER_FRAME = [
  'frame low',
  'frame high',
  'second low',
  'second high',
  'minute low',
  'minute high',
  'hour low',
  'hour high and rate',
];

/** F1, F2, F3. */
const COMMON_WORDS: readonly Words[] = [
  (data) => `quarter frame: ${QUARTER_FRAME[data >> 4]} ${data & 15}`,
  (low, high) => `song position ${low | (high << 7)}`,
  (song) => `song select ${song + 1}`,
];

/**
 * A message in words, without its channel: `note on C4, velocity 96`, `Channel Volume 100`, `Timing Clock`.
 * SysEx is told by `describeSysEx`.
 */
export function describeMessage(
  status: number,
  data1: number,
  data2: number,
  instrument: Instrument = GENERAL_MIDI,
): string {
  if (status < 0x80) return 'data';
  if (status < 0xf0) return CHANNEL_WORDS[(status >> 4) - 8]!(data1, data2, status & 15, instrument);
  return COMMON_WORDS[status - 0xf1]?.(data1, data2, 0, instrument) ?? STATUS_TABLE[status]!.name;
}

/** The same with the channel before it, as people count: `channel 3: note on C4, velocity 96`. */
export function describeOnChannel(status: number, data1: number, data2: number): string {
  const words = describeMessage(status, data1, data2);
  return status >= 0x80 && status < 0xf0 ? `channel ${(status & 15) + 1}: ${words}` : words;
}

/** @param bytes with or without the leading F0 */
export function describeSysEx(bytes: Uint8Array, start = 0, length = bytes.length - start): string {
  return `${classifySysEx(bytes, start, length).name}, ${length} bytes`;
}

function bendWords(offset: number): string {
  if (offset === 0) return 'centre';
  return offset > 0 ? `+${offset}` : `−${-offset}`;
}
