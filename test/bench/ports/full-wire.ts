/**
 * Music that fills the wire to the last bit: one three-byte message each 960 µs (MIDI 1.0, p. 9), on another
 * channel each time so that running status saves nothing. Written as a song file with a tick of 960 µs.
 */
export const MESSAGE_MICROS = 960;

/** Message `index` of the stream: sixteen note-ons, one a channel, then their sixteen note-offs, and so on. */
export function messageAt(index: number): readonly [status: number, key: number, velocity: number] {
  const round = index >> 5;
  const step = index & 31;
  const key = 36 + (round % 48);
  return step < 16 ? [0x90 | step, key, 64 + (round % 60)] : [0x80 | (step - 16), key, 64];
}

export function streamBytes(messages: number): Uint8Array {
  const bytes = new Uint8Array(messages * 3);
  for (let index = 0; index < messages; index += 1) bytes.set(messageAt(index), index * 3);
  return bytes;
}

export function fullWireSong(messages: number): Uint8Array {
  const tempo = MESSAGE_MICROS * 96;
  const events = [0, 0xff, 0x51, 3, tempo >> 16, (tempo >> 8) & 255, tempo & 255];
  for (let index = 0; index < messages; index += 1) events.push(index === 0 ? 0 : 1, ...messageAt(index));
  events.push(0, 0xff, 0x2f, 0);
  const length = [
    events.length >>> 24,
    (events.length >> 16) & 255,
    (events.length >> 8) & 255,
    events.length & 255,
  ];
  const head = [0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 0, 96, 0x4d, 0x54, 0x72, 0x6b, ...length];
  const song = new Uint8Array(head.length + events.length);
  song.set(head);
  song.set(events, head.length);
  return song;
}
