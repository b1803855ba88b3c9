import { describe, expect, test } from 'vitest';
import type { CauseCode } from '../../../src/core/compare/cause.ts';
import type { Evidence } from '../../../src/core/compare/causes/evidence.ts';
import { causesOf } from '../../../src/core/compare/causes.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { seeded } from '../../support/seeded.ts';
import { heardAll, type LaidNote, laidSong } from './laid-notes.ts';

/** Chords of four at times that are on no grid, each tenth of a second or so; none like another for long. */
const CHANCE = seeded(7);
const CHORDS = Array.from({ length: 60 }, (_, n): LaidNote[] => {
  const at = 1000 * Math.round(n * 230 + 200 * CHANCE());
  return [0, 5, 9, 14].map((step) => ({
    at,
    key: 30 + step + ((n * 7) % 60),
    channel: n % 3,
    off: at + 90_000,
  }));
}).flat();
const SONG = laidSong(CHORDS);
/** As a wire carries them: 960 µs apart. */
const sent = (step = 960, moment: (at: number) => number = (at) => at) =>
  CHORDS.map((note, n) => {
    const at = moment(note.at) + step * (n % 4);
    return { ...note, at, off: at + note.off! - note.at };
  });

function evidence(came: readonly LaidNote[], some: Partial<Evidence> = {}): Omit<Evidence, 'grainMicros'> {
  return { ...compareMusic(SONG, heardAll(came)), timeline: SONG, status: undefined, ...some };
}
const codes = (known: Omit<Evidence, 'grainMicros'>, expected: readonly CauseCode[] = []) =>
  causesOf(known, expected).map(({ code }) => code);

test('a sound player is accused of nothing', () => {
  expect(codes(evidence(sent()))).toEqual([]);
});

describe('what explains missing notes', () => {
  const lost = evidence(sent().filter((_, n) => n % 37 !== 20));

  test('is the most special of it: running status misread explains them all, and no byte is lost', () => {
    expect(codes(lost)).toEqual(['bytes-lost']);
    const status = { code: 'file-running-status', evidence: 'as it was seen' } as const;
    expect(causesOf({ ...lost, status }, [])).toEqual([status]);
  });

  test('what is expected is no cause', () => {
    expect(codes(lost, ['bytes-lost'])).toEqual([]);
    expect(codes(lost, ['velocity-zero'])).toEqual(['bytes-lost']);
  });
});

describe('what is read from times', () => {
  const slow = evidence(sent(3000));
  const grid = evidence(sent(960, (at) => 20_000 * Math.ceil(at / 20_000)));

  test('chords that take too long, and a coarse timer', () => {
    expect(codes(slow)).toEqual(['slow-chords']);
    expect(causesOf(slow, [])[0]!.evidence).toContain('3.0 ms');
    expect(codes(grid)).toEqual(['timer-tick']);
    expect(codes(grid, ['timer-tick'])).toEqual([]);
  });

  test('a coarse timer not of a part that has fewer than 300 notes: a few bars of even notes look like one', () => {
    const came = sent(960, (at) => 20_000 * Math.ceil(at / 20_000));
    const of = (count: number) => compareMusic(SONG, heardAll(came.slice(0, count)));
    expect([of(240), of(200)].map(({ causes }) => causes.map(({ code }) => code))).toEqual([
      ['timer-tick'],
      [],
    ]);
    expect([of(240), of(200)].map(({ verdict }) => verdict)).toEqual(['differs', 'part']);
  });

  test('is not, where there are none, or no law of them', () => {
    for (const known of [slow, grid]) {
      expect(codes({ ...known, heard: { ...known.heard, hasTimes: false } })).toEqual([]);
      const codesOfNone = codes({ ...known, matched: { ...known.matched, law: 'no-timing' } });
      expect(codesOfNone).not.toContain('slow-chords');
      expect(codesOfNone).not.toContain('timer-tick');
    }
  });

  test('together they are told in the order of the list', () => {
    const both = evidence(sent(3000).filter((_, n) => n % 37 !== 20));
    expect(codes(both)).toEqual(['bytes-lost', 'slow-chords']);
  });
});
