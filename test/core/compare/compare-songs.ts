import { seeded } from '../../support/seeded.ts';
import { type DeltaEvent, songBytes, sysEx, tempo } from '../../support/song-bytes.ts';

/**
 * A song of ours in which every fault can show: two tracks, chords, tempo changes, SysEx between notes, releases of both
 * kinds, and times off any grid of whole milliseconds; forty seconds long, or a part of that.
 */
export function compareSong(share = 1): Uint8Array {
  const chance = seeded(3);
  const tune: DeltaEvent[] = [[0, [0xc0, 4]]];
  const chords: DeltaEvent[] = [
    [0, tempo(480_000)],
    [0, [0xc1, 49]],
  ];
  for (let n = 0; n < 160 * share; n++) {
    const key = 60 + Math.floor(chance() * 24);
    tune.push([7 + Math.floor(chance() * 60), [0x90, key, 60 + (n % 40)]]);
    tune.push([20 + Math.floor(chance() * 20), [0x90, key, 0]]);
    if (n % 10 === 9) tune.push([0, sysEx([0xf0, 0x7f, 0x7f, 0x04, 0x01, 0, 100 - (n % 20), 0xf7])]);
  }
  for (let n = 0; n < 80 * share; n++) {
    const root = 36 + Math.floor(chance() * 12);
    for (const [place, step] of [0, 4, 7, 12].entries())
      chords.push([place === 0 ? 31 : 0, [0x91, root + step, 80 + place]]);
    for (const [place, step] of [0, 4, 7, 12].entries())
      chords.push([place === 0 ? 61 : 0, [0x81, root + step, 64]]);
    if (n % 8 === 7) chords.push([0, tempo(420_000 + Math.floor(chance() * 200_000))]);
  }
  return songBytes([tune, chords], { division: 96 });
}

/** Another one, of other keys, on other channels. */
export function otherSong(): Uint8Array {
  const chance = seeded(11);
  const tune: DeltaEvent[] = [];
  for (let n = 0; n < 200; n++) {
    const key = 30 + Math.floor(chance() * 30);
    tune.push([20 + Math.floor(chance() * 50), [0x95, key, 80]], [15, [0x85, key, 64]]);
  }
  return songBytes([tune], { division: 96 });
}
