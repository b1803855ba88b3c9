import { describe, expect, test } from 'vitest';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { joinedAt, joinedFrom } from '../../support/joined-recording.ts';
import { seeded } from '../../support/seeded.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { expectSound, watched } from './watched.ts';

/** Drums in an even beat and a few voices that strike the same few keys: much of it is like much else. */
function band(seed: number): Timeline {
  const chance = seeded(seed);
  const events: DeltaEvent[] = [];
  for (let n = 0; n < 160; n += 1) {
    const now: [number, number][] = [];
    if (n % 2 === 0) now.push([9, 42]);
    if (n % 8 === 0) now.push([9, 36]);
    if (n % 8 === 4) now.push([9, 38]);
    if (chance() < 0.4) now.push([0, 55 + Math.floor(chance() * 3) * 4]);
    if (chance() < 0.5) now.push([2, 50 + Math.floor(chance() * 2) * 5]);
    if (chance() < 0.2) now.push([11, 62 + Math.floor(chance() * 3)]);
    for (const [channel, key] of now) events.push([0, [0x90 | channel, key, 80]]);
    if (now.length === 0) events.push([24, [0xb0, 20, n % 128]]);
    for (const [place, [channel, key]] of now.entries())
      events.push([place === 0 ? 24 : 0, [0x80 | channel, key, 64]]);
  }
  return buildTimeline(readSong(songBytes([events], { division: 96 })));
}

describe('a sound player in mid-song, where much is like much else', () => {
  test.each([
    // In a chord of which a part had come before, with notes beside it like those that came.
    { seed: 39, share: 0.4502, isTorn: false },
    // Left among the last chord's notes, whose releases nobody waited for.
    { seed: 19, share: 0.7922, isTorn: false },
    { seed: 40, share: 0.7931, isTorn: true },
  ])('joined at $share is not accused', ({ seed, share, isTorn }) => {
    const song = band(seed);
    const heard = joinedAt(playHomeBuilt(song, ['none'], seed).chunks, share, isTorn);
    expectSound(
      watched(
        heard.filter(({ micros }) => micros < 4e6),
        song,
      ),
    );
  });
});

test('who came in soon after the beginning, where the status byte was left out, has not missed the notes under it', () => {
  const keys = Array.from({ length: 30 }, (_, n) => 40 + n);
  const even: DeltaEvent[] = keys.flatMap((key, n): DeltaEvent[] => [
    [n === 0 ? 0 : 24, [0x90, key, 80]],
    // Every fourth is let go under a status byte of its own.
    [24, n % 4 === 3 ? [0x80, key, 64] : [0x90, key, 0]],
  ]);
  const song = buildTimeline(readSong(songBytes([even], { division: 96 })));
  const running = playHomeBuilt(song, ['none'], 4).chunks;
  const from = running.findIndex(({ bytes }, n) => n > 0 && bytes.length === 2);
  const { verdict, notes } = compareMusic(song, heardFromChunks(joinedFrom(running, from)));
  expect({ verdict, missing: notes.missing }).toEqual({ verdict: 'part', missing: 0 });
});

test('a release that comes when listening has begun, of a note struck before, does not say that the song was heard any further', () => {
  const steps = Array.from({ length: 40 }, (_, n): DeltaEvent[] => [
    [n === 0 ? 0 : 24, [0x90, 40 + n, 80]],
    [24, [0x80, 40 + n, 64]],
  ]).flat();
  // Struck at 0.5 s and at 3 s; let go at 3.3 s, which is the first, and at 3.7 s.
  const twice: DeltaEvent[] = [
    [96, [0x91, 60, 80]],
    [480, [0x91, 60, 80]],
    [58, [0x81, 60, 64]],
    [76, [0x81, 60, 64]],
  ];
  const song = buildTimeline(readSong(songBytes([steps, twice], { division: 96 })));
  const whole = playHomeBuilt(song, ['none'], 4).chunks;
  const first = whole[0]!.micros;
  const from = whole.findIndex(({ micros, bytes }) => micros > first + 2.2e6 && bytes.length === 3);
  const heard = joinedFrom(
    whole.filter(({ micros }) => micros < first + 3.4e6),
    from,
  );
  const { verdict, notes } = compareMusic(song, heardFromChunks(heard));
  expect({ verdict, missing: notes.missing }).toEqual({ verdict: 'part', missing: 0 });
});
