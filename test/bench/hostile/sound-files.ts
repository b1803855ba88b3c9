import { readdirSync, readFileSync } from 'node:fs';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, meta, songBytes, sysEx, tempo } from '../../support/song-bytes.ts';
import { FORMAT_0, FORMAT_1 } from '../../support/worked-examples.ts';

/** Longer files spend the time on what short ones show as well. */
const MOST_BYTES = 1500;

/** The files that are damaged: the standard's worked examples, one made here, our songs, songs from packages. */
export function soundFiles(): Uint8Array[] {
  const ours = readdirSync('songs')
    .filter((name) => name.endsWith('.mid'))
    .map((name) => new Uint8Array(readFileSync(`songs/${name}`)));
  const short = [...ours, ...npmSongs().map(({ bytes }) => bytes)].map((bytes) => bytes.slice(0, MOST_BYTES));
  // The small ones stand several times: most damage is done where it is felt.
  return [FORMAT_0, FORMAT_1, everything(), FORMAT_0, FORMAT_1, everything(), ...short];
}

/** One of each: reset, volume, bank, program, pedal, bend, pressures, parameters, a stray note, an escape. */
function everything(): Uint8Array {
  const events: DeltaEvent[] = [
    [0, meta(0x03, Buffer.from('all'))],
    [0, tempo(400_000)],
    [0, sysEx([0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7])],
    [0, sysEx([0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, 0x60, 0xf7])],
    [0, [0xb0, 0, 1]],
    [0, [0xc0, 12]],
    [0, [0xb0, 101, 0]],
    [0, [0xb0, 100, 0]],
    [0, [0xb0, 6, 12]],
    [2, [0x90, 60, 90]],
    [0, [0x99, 38, 90]],
    [0, [0xb0, 64, 127]],
    [9, [0xa0, 60, 30]],
    [0, [0xd0, 50]],
    [0, [0xe0, 0, 80]],
    [9, [0x90, 60, 0]],
    [0, [0x89, 38, 64]],
    [3, [0x93, 72, 80]],
    [9, [0xb0, 64, 0]],
    [3, [0xb0, 121, 0]],
    [5, [0x83, 72, 64]],
  ];
  return songBytes([events, events.slice(9)]);
}
