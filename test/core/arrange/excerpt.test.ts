import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { excerptUpTo } from '../../../src/core/arrange/excerpt.ts';
import { scaleVolume } from '../../../src/core/arrange/scale-volume.ts';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const lines = ({ count, micros, status, data1, data2 }: TimelineColumns) =>
  Array.from({ length: count }, (_, row) => [micros[row]!, status[row]!, data1[row]!, data2[row]!]);

const SONG: TimedBytes[] = [
  [0, 0xb0, 7, 80],
  [0, 0x90, 60, 100],
  [400, 0x90, 64, 100],
  [900, 0x80, 60, 64],
  [1000, 0x91, 40, 90],
  [1500, 0x90, 64, 0],
  [2000, 0x81, 40, 64],
];

describe('a song up to a moment', () => {
  test('what comes after is gone, what sounds is let go there', () => {
    expect(lines(excerptUpTo(timelineOf(SONG), 1000, 1))).toEqual([
      [0, 0xb0, 7, 80],
      [0, 0x90, 60, 100],
      [400, 0x90, 64, 100],
      [900, 0x80, 60, 64],
      [1000, 0x90, 64, 0],
    ]);
  });

  test('to its end it is the song', () => {
    const columns = timelineOf(SONG);
    expect(excerptUpTo(columns, 5000, 5)).toBe(columns);
  });

  test('wherever it is cut, each note-on has its note-off, and nothing is later than the end', () => {
    const note = fc.record({ at: fc.nat(1000), length: fc.nat(500), key: fc.integer({ min: 60, max: 63 }) });
    fc.assert(
      fc.property(fc.array(note, { maxLength: 20 }), fc.integer({ min: 1, max: 1500 }), (notes, end) => {
        const rows = notes.flatMap(({ at, length, key }): TimedBytes[] => [
          [at, 0x90, key, 100],
          [at + length, 0x80, key, 64],
        ]);
        const cut = excerptUpTo(timelineOf(rows), end, 1);
        const of = (status: number) => lines(cut).filter((line) => line[1] === status);
        expect(of(0x90)).toHaveLength(of(0x80).length);
        expect(lines(cut).every(([micros]) => micros! <= end)).toBe(true);
        for (let row = 0; row < cut.count; row++) {
          if (cut.status[row] === 0x90) expect(cut.partner[cut.partner[row]!]).toBe(row);
        }
      }),
    );
  });
});

describe('louder and softer', () => {
  test('a volume is scaled; a channel without one gets it before its first note (100 at rest, General MIDI 1)', () => {
    expect(lines(scaleVolume(timelineOf(SONG), 50)).filter(([, status]) => status! >= 0xb0)).toEqual([
      [0, 0xb0, 7, 40],
      [1000, 0xb1, 7, 50],
    ]);
  });

  test('127 is the most, and 100 % changes nothing', () => {
    const columns = timelineOf(SONG);
    expect(lines(scaleVolume(columns, 400))[0]).toEqual([0, 0xb0, 7, 127]);
    expect(scaleVolume(columns, 100)).toBe(columns);
  });

  test('after General MIDI On (F0 7E 7F 09 01 F7) every channel is told again', () => {
    const reset: TimedBytes = [1200, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
    const scaled = scaleVolume(timelineOf([...SONG, reset, [1300, 0x90, 70, 1], [1400, 0x80, 70, 1]]), 50);
    expect(
      lines(scaled).filter(([, status, number]) => status! >= 0xb0 && status! < 0xf0 && number === 7),
    ).toEqual([
      [0, 0xb0, 7, 40],
      [1000, 0xb1, 7, 50],
      [1300, 0xb0, 7, 50],
    ]);
  });

  test('notes stay paired', () => {
    const scaled = scaleVolume(timelineOf(SONG), 70);
    for (let row = 0; row < scaled.count; row++) {
      if ((scaled.status[row]! & 0xf0) === 0x90 && scaled.data2[row]! > 0) {
        expect(scaled.data1[scaled.partner[row]!]).toBe(scaled.data1[row]);
        expect(scaled.partner[scaled.partner[row]!]).toBe(row);
      }
    }
  });
});
