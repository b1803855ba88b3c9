import type { TimedChunk } from '../capture/byte-dump.ts';
import {
  END_OF_TRACK,
  SmfRecordEncoder,
  smfRecordHead,
  TRACK_AT,
  TRACK_LENGTH_AT,
} from '../capture/smf-record.ts';
import { WholeMessages } from '../capture/whole-messages.ts';
import type { PlayedImage } from './player/read-image.ts';

/** What an image puts on the wire, byte for byte, from the moment of the first. */
export function* chunksOfImage({ bytes, sentUnits, unitsPerSecond }: PlayedImage): Generator<TimedChunk> {
  for (let at = 0; at < bytes.length; at += 1) {
    const micros = ((sentUnits[at]! - sentUnits[0]!) * 1_000_000) / unitsPerSecond;
    yield { micros, bytes: bytes.subarray(at, at + 1) };
  }
}

/**
 * An image as a Standard MIDI File: each message at the moment its first byte leaves the small machine, rounded to
 * the 50 µs that a record has. So a prepared song goes the way of all songs.
 * @param name becomes the title
 */
export function songOfImage(played: PlayedImage, name: string): Uint8Array {
  const encoder = new SmfRecordEncoder();
  const messages = new WholeMessages({
    message: (micros, bytes) => encoder.message(micros, bytes),
    // What is no message cannot be sent as one; the bytes are judged by whoever reads them (compare).
    remark() {},
  });
  for (const { micros, bytes } of chunksOfImage(played)) messages.feed(bytes, 0, 1, micros);
  messages.finish();
  const head = smfRecordHead(name).subarray(0, -END_OF_TRACK.length);
  const events = encoder.take();
  const file = new Uint8Array(head.length + events.length + END_OF_TRACK.length);
  file.set(head);
  file.set(events, head.length);
  file.set(END_OF_TRACK, head.length + events.length);
  new DataView(file.buffer).setUint32(TRACK_LENGTH_AT, file.length - TRACK_AT);
  return file;
}
