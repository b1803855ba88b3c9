import { type MidiEvent, parseMidi, writeMidi } from 'midi-file';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';

/** Universal real-time SysEx, master volume (MIDI 1.0, Universal System Exclusive messages), without its F0: another one each time. */
const masterVolume = (n: number) => [0x7f, 0x7f, 0x04, 0x01, 0x00, 40 + (n % 80), 0xf7];
/** Of the note-ons that follow one of their own channel. */
const EVERY = 25;

/** The song with a SysEx now and then between two note-ons of one channel. */
export function withSysEx(bytes: Uint8Array): Timeline {
  const song = parseMidi(bytes);
  let follows = 0;
  const tracks = song.tracks.map((track) => {
    let before: MidiEvent | undefined;
    return track.flatMap((event): MidiEvent[] => {
      const isNext = event.type === 'noteOn' && before?.type === 'noteOn' && before.channel === event.channel;
      before = event;
      follows += isNext ? 1 : 0;
      if (!isNext || follows % EVERY !== 0) return [event];
      return [
        { deltaTime: event.deltaTime, type: 'sysEx', data: masterVolume(follows / EVERY) },
        { ...event, deltaTime: 0 },
      ];
    });
  });
  return buildTimeline(readSong(Uint8Array.from(writeMidi({ header: song.header, tracks }))));
}
