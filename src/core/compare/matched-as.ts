import { expectedMoments } from './expected-moments.ts';
import type { HeardMusic } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import { momentPoints } from './moment-points.ts';
import { robustLine } from './robust-line.ts';
import type { WrittenMusic } from './written-music.ts';

/** A recording laid beside the song where it is known which note is which, and all are in time. @param writtenOf [heard] −1: none */
export function matchedAs(written: WrittenMusic, heard: HeardMusic, writtenOf: Int32Array): MatchedMusic {
  const heardOf = new Int32Array(written.count).fill(-1);
  let matched = 0;
  for (const [note, ours] of writtenOf.entries()) {
    if (ours < 0) continue;
    heardOf[ours] = note;
    matched += 1;
  }
  const matching = { heardOf, writtenOf, matched };
  const times = written.micros;
  const { x, y } = momentPoints(times, written, heard, heardOf);
  const line = robustLine(x, y);
  const expected = expectedMoments(times, heard.on.micros, matching, line);
  return { law: 'tempo-map', times, line, expected, matching };
}
