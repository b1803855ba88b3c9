import { vlq } from '../support/song-bytes.ts';

const TICKS_PER_QUARTER = 480;

/**
 * A file of `notes` notes made by arithmetic, on `tracks` tracks (and channels, up to 16) behind a tempo track:
 * running status, releases as note-ons with velocity 0, a tempo change every 512 quarters; about 7 bytes a note.
 */
export function millionNotes(tracks: number, notes = 1_000_000): Uint8Array {
  const chunks = [tempoTrack(notes / tracks)];
  for (let track = 0; track < tracks; track += 1) chunks.push(noteTrack(track, notes / tracks));
  const header = ascii('MThd').concat(
    be32(6),
    [0, 1, 0, chunks.length],
    [TICKS_PER_QUARTER >> 8, TICKS_PER_QUARTER & 255],
  );
  return Uint8Array.from(Buffer.concat([Uint8Array.from(header), ...chunks]));
}

function noteTrack(track: number, notes: number): Uint8Array {
  const bytes = new Uint8Array(notes * 10 + 16);
  let at = 0;
  const put = (...values: readonly number[]) => {
    for (const value of values) bytes[at++] = value;
  };
  put(0, 0x90 | (track % 16));
  for (let note = 0; note < notes; note += 1) {
    const key = 24 + ((note * 7 + track * 5) % 84);
    if (note > 0) put(...vlq(60 + ((note * 13 + track) % 120)));
    put(key, 1 + ((note * 31) % 127));
    put(...vlq(90 + ((note * 17) % 90)), key, 0);
  }
  put(0, 0xff, 0x2f, 0);
  return chunk(bytes.subarray(0, at));
}

function tempoTrack(notesEach: number): Uint8Array {
  const bytes: number[] = [];
  for (let change = 0; change < notesEach / 1024; change += 1) {
    const micros = 400_000 + ((change * 7919) % 200_000);
    bytes.push(...vlq(change === 0 ? 0 : 512 * TICKS_PER_QUARTER), 0xff, 0x51, 3, ...be32(micros).slice(1));
  }
  return chunk(Uint8Array.from([...bytes, 0, 0xff, 0x2f, 0]));
}

function chunk(body: Uint8Array): Uint8Array {
  return Buffer.concat([Uint8Array.from([...ascii('MTrk'), ...be32(body.length)]), body]);
}

const ascii = (text: string) => Array.from(text, (letter) => letter.charCodeAt(0));
const be32 = (value: number) => [value >>> 24, (value >>> 16) & 255, (value >>> 8) & 255, value & 255];
