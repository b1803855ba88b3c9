import type { CheckOptions } from '../core/report/check-options.ts';
import { checkSong } from '../core/report/check-song.ts';
import { readSong } from '../core/smf/read-song.ts';
import { buildTimeline } from '../core/timeline/build-timeline.ts';

/**
 * Checks a small song of every kind of message a few times, before the first real one. The compiler guesses from
 * what it has seen: in a real song it sees ten thousand notes before the first SysEx, guesses wrong, and
 * compiles the large loops again and again, for seconds in each thread.
 */
export function rehearseCheck(options: Partial<CheckOptions>): void {
  const bytes = smallSong();
  for (let time = 0; time < TIMES; time += 1) {
    const song = readSong(bytes);
    checkSong('', song, buildTimeline(song), options);
  }
}

/** By then every function has been called often enough for the compiler to have looked at it. */
const TIMES = 12;

type Step = readonly [deltaTicks: number, ...bytes: number[]];

const range = (count: number, step: (i: number) => Step): Step[] =>
  Array.from({ length: count }, (_, i) => step(i));

/** A Standard MIDI File of every kind of message, well and badly behaved, for the rehearsal. */
export function smallSong(): Uint8Array {
  const conductor: Step[] = [
    [0, 0xff, 0x03, 1, 0x61],
    [0, 0xff, 0x58, 4, 4, 2, 24, 8],
    [0, 0xff, 0x59, 2, 0, 0],
    [0, 0xff, 0x51, 3, 7, 0xa1, 0x21],
    [0, 0xff, 0x21, 1, 0],
    [0, 0xff, 0x06, 1, 0x61],
    [0, 0xff, 0x05, 1, 0x61],
    [0, 0xff, 0x7f, 1, 0],
    [10, 0xff, 0x07, 1, 0x61],
    [90, 0xff, 0x51, 3, 6, 0xa1, 0x20],
  ];
  const settings: Step[] = [
    [0, 0xc0, 5],
    [0, 0x90, 60, 64],
    [0, 0xf0, 5, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
    [0, 0xf0, 4, 0x7d, 1, 2, 0xf7],
    [0, 0xf0, 7, 0x7f, 0x7f, 0x04, 0x01, 0, 64, 0xf7],
    ...[0, 32, 7, 39, 10, 7, 101, 100, 6, 38, 98, 99, 121, 123, 64].map(
      (n): Step => [0, 0xb0, n, n === 64 ? 127 : 2],
    ),
    [0, 0x90, 62, 64],
    [0, 0xc0, 6],
    [0, 0x90, 64, 64],
  ];
  const music: Step[] = [
    ...range(12, (i) => [i % 3, 0xe0, 0, 60 + i]),
    ...range(6, (i) => [1, 0xb0, 7, 90 + i]),
    ...range(4, (i) => [i % 2, 0xd0, i >> 1]),
    [0, 0xa0, 60, 5],
    ...range(28, (i) => [0, 0x90, 40 + i, 64]),
    ...range(28, (i) => [i % 4 === 0 ? 1 : 0, 0x80, 40 + i, 64]),
    ...range(3, () => [2, 0x90, 70, 64]),
    ...range(4, () => [0, 0x90, 70, 0]),
    [5, 0xb0, 64, 0],
    [1, 0xb0, 65, 127],
    ...range(4, (i) => [i, i % 2 === 0 ? 0x90 : 0x80, 50, 64]),
  ];
  const part = (channel: number): Step[] =>
    [...settings, ...music, ...music, [2, 0x90, 30, 64] as Step].map(([delta, status = 0, ...data]) =>
      status < 0xf0 ? [delta, status | channel, ...data] : [delta, status, ...data],
    );
  const second: Step[] = [[0, 0xff, 0x21, 1, 1], ...part(1), [0, 0xff, 0x2f, 0]];
  const tracks = [conductor, part(0), second, part(9)].map((steps) => chunk('MTrk', steps.flat()));
  return Uint8Array.from([...chunk('MThd', [0, 1, 0, tracks.length, 0, 96]), ...tracks.flat()]);
}

function chunk(type: string, body: readonly number[]): number[] {
  return [
    ...Array.from(type, (letter) => letter.charCodeAt(0)),
    0,
    0,
    body.length >> 8,
    body.length & 255,
    ...body,
  ];
}
