import { type DeltaEvent, songBytes, tempo } from '../../support/song-bytes.ts';

/**
 * A song that asks much of a clock: 12.5 chords of sixteen notes a second, four channels of four notes each,
 * with a controller before each chord. 412 messages and 860 bytes a second: a quarter of the wire.
 * Division 1000 and 1,000,000 µs a quarter: a tick is a millisecond.
 */
export function denseSong(seconds: number): Uint8Array {
  const events: DeltaEvent[] = [[0, tempo(1_000_000)]];
  for (let channel = 0; channel < 4; channel += 1) events.push([0, [0xc0 | channel, channel * 8]]);
  const chords = Math.floor((seconds * 1000) / CHORD_MS);
  for (let chord = 0; chord < chords; chord += 1) {
    const root = 40 + ((chord * 7) % 12);
    const notes = Array.from({ length: 16 }, (_, note): [number, number] => [
      note >> 2,
      root + note * 3 - (note >> 2),
    ]);
    events.push([0, [0xb0, 11, 90 + (chord % 30)]]);
    for (const [channel, key] of notes) events.push([0, [0x90 | channel, key, 80]]);
    for (const [index, [channel, key]] of notes.entries()) {
      events.push([index === 0 ? HELD_MS : 0, [0x90 | channel, key, 0]]);
    }
    events.push([CHORD_MS - HELD_MS, [0xb1, 11, 90]]);
  }
  return songBytes([events], { division: 1000 });
}

const CHORD_MS = 80;
const HELD_MS = 47;
