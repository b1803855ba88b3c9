import { expect, test } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';

const QUARTER_SECOND = 250_000;

/** Seconds of a song from its beginning on when whoever hears it could first tell what is wrong. */
function tellable(rows: DeltaEvent[], fault: Parameters<typeof playHomeBuilt>[1][number]): number {
  const song = buildTimeline(readSong(songBytes([rows], { division: 96 })));
  const { chunks, tellableFromMicros } = playHomeBuilt(song, [fault], 5);
  return (tellableFromMicros - chunks[0]!.micros) / 1e6;
}

const notes = (first: number): DeltaEvent[] =>
  Array.from({ length: 60 }, (_, n): DeltaEvent[] => [
    [n === 0 ? first : 0, [0x90, 50 + (n % 20), 80]],
    [48, [0x90, 50 + (n % 20), 0]],
  ]).flat();
const settings = Array.from({ length: 400 }, (_, n): DeltaEvent => [0, [0xb0, 20 + (n % 70), n % 128]]);

test('a first note as late as a full wire makes it is not early for one that comes as late as the next', () => {
  // With 1.4 ms more at each, ten are late at the eighth; through twelve moments a line is laid.
  expect(tellable([...settings, ...notes(0)], 'slow-adds-up')).toBeGreaterThanOrEqual(
    (11 * QUARTER_SECOND) / 1e6,
  );
});

test('a setting that comes late and still before the note is not missed', () => {
  // 400 of them take a second, and the note is due after two.
  expect(tellable([...settings, ...notes(384)], 'slow-chords')).toBe(Number.POSITIVE_INFINITY);
});
