import type { MidiEvent } from 'midi-file';
import { Meta } from './meta-kinds.ts';
import type { Song } from './song.ts';

/** The columns of a song, without what was found in reading it. */
export type WritableSong = Omit<Song, 'findings'>;

type ChannelMaker = (deltaTime: number, channel: number, data1: number, data2: number) => MidiEvent;

/** By the status byte's upper half, from 8. Velocity 0 stays a note-on: `writeMidi` writes it as it stands. */
const CHANNEL_MAKERS: readonly ChannelMaker[] = [
  (deltaTime, channel, noteNumber, velocity) => ({
    deltaTime,
    type: 'noteOff',
    channel,
    noteNumber,
    velocity,
  }),
  (deltaTime, channel, noteNumber, velocity) => ({
    deltaTime,
    type: 'noteOn',
    channel,
    noteNumber,
    velocity,
  }),
  (deltaTime, channel, noteNumber, amount) => ({
    deltaTime,
    type: 'noteAftertouch',
    channel,
    noteNumber,
    amount,
  }),
  (deltaTime, channel, controllerType, value) => ({
    deltaTime,
    type: 'controller',
    channel,
    controllerType,
    value,
  }),
  (deltaTime, channel, programNumber) => ({ deltaTime, type: 'programChange', channel, programNumber }),
  (deltaTime, channel, amount) => ({ deltaTime, type: 'channelAftertouch', channel, amount }),
  (deltaTime, channel, low, high) => ({
    deltaTime,
    type: 'pitchBend',
    channel,
    value: low + high * 128 - 8192,
  }),
];

/**
 * A row of a song as the object that midi-file writes. Every meta event goes as one of unknown kind, with its
 * type and bytes: so nothing in it is read, rounded or re-encoded on the way.
 */
export function fileEvent(song: WritableSong, row: number, deltaTime: number): MidiEvent {
  const { events } = song;
  const status = events.status[row]!;
  if (status < 0xf0) {
    const make = CHANNEL_MAKERS[(status >> 4) - 8]!;
    return make(deltaTime, status & 0x0f, events.data1[row]!, events.data2[row]!);
  }
  const data = payloadOf(song, row);
  if (status === 0xff) return { deltaTime, type: 'unknownMeta', metatypeByte: events.data1[row]!, data };
  return { deltaTime, type: status === 0xf0 ? 'sysEx' : 'endSysEx', data };
}

/** An empty text event: it fills a rest that one delta time cannot hold. */
export function fillerEvent(deltaTime: number): MidiEvent {
  return { deltaTime, type: 'unknownMeta', metatypeByte: Meta.text, data: [] };
}

export function endOfTrackEvent(deltaTime: number): MidiEvent {
  return { deltaTime, type: 'unknownMeta', metatypeByte: Meta.endOfTrack, data: [] };
}

function payloadOf({ bytes, events, payloads }: WritableSong, row: number): Uint8Array {
  const payload = events.payload[row]!;
  const start = payloads.start[payload]!;
  return bytes.subarray(start, start + payloads.length[payload]!);
}
