import { describe, expect, test } from 'vitest';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { comparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { HeardReader } from '../../../src/core/compare/heard-reader.ts';
import { latenessOf } from '../../../src/core/compare/lateness.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import type { LaidNote } from './laid-notes.ts';
import { laidBeside } from './matched-notes.ts';

/** A hundred notes half a second apart: nothing on the wire waits for anything. */
const SONG = buildTimeline(
  readSong(
    songBytes([
      Array.from({ length: 100 }, (_, n): DeltaEvent[] => [
        [n === 0 ? 0 : 48, [0x90, 30 + (n % 60), 90]],
        [48, [0x80, 30 + (n % 60), 64]],
      ]).flat(),
    ]),
  ),
);

/** Heard at a second and later, each note so many microseconds behind its time. */
function heard(lateMicros: (note: number) => number) {
  const chunks = Array.from({ length: 100 }, (_, n) => {
    const key = 30 + (n % 60);
    const at = 1_000_000 + n * 500_000;
    return [
      { micros: at + lateMicros(n), bytes: Uint8Array.of(0x90, key, 90) },
      { micros: at + 250_000, bytes: Uint8Array.of(0x80, key, 64) },
    ];
  }).flat();
  return compareMusic(SONG, heardFromChunks(chunks));
}

test('the histogram counts each note in its bin: worked by hand', () => {
  // Ninety on time, six 12 ms late, three 31 ms, one 200 ms.
  const late = (n: number) =>
    n === 50 ? 200_000 : n % 30 === 7 && n < 90 ? 31_000 : n % 15 === 3 && n < 90 ? 12_000 : 0;
  const { lateness, lateNotes } = heard(late);
  expect(Array.from({ length: 100 }, (_, n) => late(n)).filter((micros) => micros > 0)).toHaveLength(10);
  // 99 of a hundred are within 200 ms: bins of 20 would do for 12 ms each, so the next of 1, 2, 5 is 20 ms.
  expect(lateness.p99Micros).toBeGreaterThan(199_000);
  expect(lateness.binMicros).toBe(20_000);
  expect(lateness.histogram).toEqual([96, 3, 0, 0, 0, 0, 0, 0, 0, 0, 1, ...new Array<number>(9).fill(0)]);
  expect(lateness.maxMicros).toBeGreaterThan(199_000);
  expect(lateness.worst).toBe(50);
  expect(lateNotes).toEqual([7, 37, 50, 67]);
});

test('bins are fine where all are on time, what is early counts in the first, what is far off in the last', () => {
  const { lateness } = heard((n) => (n === 40 ? -3000 : n === 60 ? 400_000 : n % 2 === 0 ? 0 : 150));
  const { histogram, binMicros } = lateness;
  expect(binMicros).toBe(50_000);
  expect(histogram[0]).toBe(99);
  expect(histogram[8]).toBe(1);
  const even = heard((n) => (n === 40 ? -3000 : n % 2 === 0 ? 0 : 150)).lateness;
  expect(even.binMicros).toBe(100);
  expect(even.histogram.slice(0, 3)).toEqual([50, 50, 0]);
  expect(even.histogram.reduce((sum, count) => sum + count, 0)).toBe(100);
});

test('the first note may be the latest', () => {
  const { lateness } = heard((n) => (n === 0 ? 30_000 : 0));
  expect(lateness.worst).toBe(0);
  expect(lateness.maxMicros).toBeGreaterThan(29_000);
});

test('notes that came while the listener stood still: how late they were is not known, and counted so', () => {
  const reader = new HeardReader(true);
  const at = (n: number) => 1_000_000 + n * 500_000;
  // From just before note 50 until just behind note 52 nobody read: all three have the time at which it went on.
  const still = { from: at(50) - 10_000, to: at(52) + 300_000 };
  const seen = (micros: number) => (micros > still.from && micros < still.to ? still.to : micros);
  for (let n = 0; n < 100; n += 1) {
    reader.feed(Uint8Array.of(0x90, 30 + (n % 60), 90), seen(at(n)));
    reader.feed(Uint8Array.of(0x80, 30 + (n % 60), 64), seen(at(n) + 250_000));
  }
  reader.stoodStill(still.from, still.to);
  const { lateness } = compareMusic(SONG, reader.finish());
  expect(lateness.unknown).toBe(3);
  expect([...lateness.ofNote].flatMap((late, n) => (Number.isNaN(late) ? [n] : []))).toEqual([50, 51, 52]);
  expect(lateness.maxMicros).toBeLessThan(1);
  expect(lateness.histogram.reduce((sum, count) => sum + count, 0)).toBe(97);
});

test('the strips of the page have each difference in its bar', () => {
  const chunks = Array.from({ length: 100 }, (_, n) => [
    { micros: 1_000_000 + n * 500_000, bytes: Uint8Array.of(0x90, 30 + (n % 60), n === 13 ? 20 : 90) },
    { micros: 1_250_000 + n * 500_000, bytes: Uint8Array.of(0x80, 30 + (n % 60), 64) },
  ]);
  // Four notes a bar: note 4 is the first of bar 2, 13 is in bar 4; in bar 6 one comes that nobody wrote.
  const more = [
    { micros: 1_000_000 + 21 * 500_000 + 100_000, bytes: Uint8Array.of(0x95, 100, 90) },
    { micros: 1_000_000 + 21 * 500_000 + 150_000, bytes: Uint8Array.of(0x85, 100, 64) },
  ];
  const all = chunks.toSpliced(4, 1).flat().concat(more);
  const found = compareMusic(SONG, heardFromChunks(all.sort((a, b) => a.micros - b.micros)));
  expect(comparisonDocument('', '', SONG, found, []).bars).toEqual([
    { bar: 2, missing: 1, added: 0, changed: 0, late: 0 },
    { bar: 4, missing: 0, added: 0, changed: 1, late: 0 },
    { bar: 6, missing: 0, added: 1, changed: 0, late: 0 },
  ]);
});

describe('against a line that is given', () => {
  /** Two hundred notes a tenth of a second apart, each so late for the line: 1000 + 2 · song time + 10 · messages. */
  const NOTES = Array.from(
    { length: 200 },
    (_, n): LaidNote => ({ at: n * 100_000, key: 20 + (n % 100), off: n * 100_000 + 50_000 }),
  );
  function lateness(late: readonly number[], points: readonly number[] = [...NOTES.keys()]) {
    const came = NOTES.flatMap(({ at, key }, of) =>
      Number.isNaN(late[of]!)
        ? []
        : [{ of, key, at: 1000 + 2 * at + 10 * (2 * of) + late[of]!, off: Number.NaN }],
    );
    const { written, heard, matched } = laidBeside(NOTES, came);
    return latenessOf(written, heard, matched, {
      line: { start: 1000, rate: 2, spread: 0, rateError: 0 },
      lostPerMessageMicros: 10,
      points: { notes: Uint32Array.from(points), x: new Float64Array(0), y: new Float64Array(0) },
      lostMicros: 0,
      spread: 0,
    });
  }
  const many = (late: (n: number) => number) => Array.from(NOTES, (_, n) => late(n));

  test('on time are those among the first in twenty of the moments', () => {
    // The eleventh of two hundred from the earliest.
    const found = lateness(many((n) => 100 * n));
    expect([...found.ofNote]).toEqual(many((n) => 100 * (n - 10)));
    expect([found.p50Micros, found.p99Micros, found.maxMicros, found.worst]).toEqual([
      9000, 18_800, 18_900, 199,
    ]);
    // Of the moments alone, whatever else came.
    expect(
      lateness(
        many((n) => 100 * n),
        [40, 41, 42],
      ).ofNote[40],
    ).toBe(0);
  });

  test('bins are 1, 2 or 5 of a power of ten, so that twenty of them reach a fifth beyond the 99th in a hundred', () => {
    const bin = (p99: number) => lateness(many((n) => (n < 100 ? 0 : p99))).binMicros;
    // 20 bins of 100 are 2000, which is 1.2 times 1666.
    expect([bin(0), bin(1666), bin(1667), bin(3333), bin(3334), bin(8333), bin(8334)]).toEqual([
      100, 100, 200, 200, 500, 500, 1000,
    ]);
    expect([bin(16_666), bin(16_667)]).toEqual([1000, 2000]);
  });

  test('what is before the first bin counts in it, what is behind the last in that', () => {
    const found = lateness(many((n) => (n === 0 ? -500 : n === 1 ? 1e6 : n < 52 ? 0 : 150)));
    expect(found.binMicros).toBe(100);
    expect(found.histogram).toEqual([51, 148, ...new Array<number>(17).fill(0), 1]);
    expect([found.worst, found.maxMicros]).toEqual([1, 1e6]);
  });

  test('the first of several that are as late is the latest; of nothing there is none', () => {
    expect(lateness(many((n) => (n === 30 || n === 60 ? 700 : 0))).worst).toBe(30);
    const nothing = lateness(
      many(() => Number.NaN),
      [],
    );
    expect(nothing).toMatchObject({
      worst: -1,
      maxMicros: 0,
      p50Micros: 0,
      p99Micros: 0,
      unknown: 0,
      binMicros: 100,
    });
    expect(nothing.histogram).toEqual(new Array<number>(20).fill(0));
    expect(
      lateness(
        many((n) => (n === 7 ? 5 : Number.NaN)),
        [7],
      ),
    ).toMatchObject({ worst: 7, maxMicros: 0 });
  });
});
