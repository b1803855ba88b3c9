import { describe, expect, test } from 'vitest';
import { scaleVolume } from '../../../src/core/arrange/scale-volume.ts';
import { withRows } from '../../../src/core/arrange/with-rows.ts';
import { withoutRows } from '../../../src/core/arrange/without-rows.ts';
import { NO_PARTNER, type TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const ROWS: TimedBytes[] = [
  [0, 0x90, 60, 64],
  [1000, 0xb0, 7, 80],
  [2000, 0x80, 60, 64],
  [3000, 0x91, 62, 64],
];

const told = (columns: TimelineColumns) =>
  Array.from({ length: columns.count }, (_, row) => [
    columns.micros[row]!,
    columns.status[row]!,
    columns.data1[row]!,
    columns.data2[row]!,
  ]);
const partners = (columns: TimelineColumns) =>
  [...columns.partner.subarray(0, columns.count)].map((one) => (one === NO_PARTNER ? -1 : one));

describe('rows put in', () => {
  test('stand before theirs, at its moment; at the end at the last one; in the order given; notes stay paired', () => {
    const columns = timelineOf(ROWS);
    const program = (before: number, number: number) => ({ before, status: 0xc0, data1: number, data2: 0 });
    const more = withRows(columns, [program(0, 1), program(2, 2), program(2, 3), program(4, 4)]);
    expect(told(more)).toEqual([
      [0, 0xc0, 1, 0],
      [0, 0x90, 60, 64],
      [1000, 0xb0, 7, 80],
      [2000, 0xc0, 2, 0],
      [2000, 0xc0, 3, 0],
      [2000, 0x80, 60, 64],
      [3000, 0x91, 62, 64],
      [3000, 0xc0, 4, 0],
    ]);
    expect(partners(more)).toEqual([-1, 5, -1, -1, -1, 1, -1, -1]);
    expect([...more.tick.subarray(0, 8)]).toEqual([0, 0, 1, 2, 2, 2, 3, 3]);
    expect(withRows(columns, [])).toBe(columns);
  });

  test('rows left out: notes stay paired, and nothing is copied where nothing goes', () => {
    const columns = timelineOf(ROWS);
    const less = withoutRows(columns, Uint8Array.of(0, 1, 0, 1));
    expect(told(less)).toEqual([told(columns)[0], told(columns)[2]]);
    expect(partners(less)).toEqual([1, 0]);
    expect(withoutRows(columns, new Uint8Array(4))).toBe(columns);
    expect(partners(withoutRows(columns, Uint8Array.of(0, 0, 0, 0)))).toEqual([2, -1, 0, -1]);
  });
});

describe('a song made softer', () => {
  const scaled = (percent: number, ...rows: TimedBytes[]) => told(scaleVolume(timelineOf(rows), percent));
  const note = (at: number, channel = 0): TimedBytes => [at, 0x90 | channel, 60, 64];

  test('has each volume scaled, to 127 at most; a channel that sets none has that of General MIDI, 100, scaled', () => {
    expect(scaled(50, [0, 0xb0, 7, 81], note(1), note(2))).toEqual([
      [0, 0xb0, 7, 41],
      [1, 0x90, 60, 64],
      [2, 0x90, 60, 64],
    ]);
    expect(scaled(50, note(1, 3), note(2, 3))).toEqual([
      [1, 0xb3, 7, 50],
      [1, 0x93, 60, 64],
      [2, 0x93, 60, 64],
    ]);
    expect(scaled(200, [0, 0xb0, 7, 64], [1, 0xb0, 7, 63])).toEqual([
      [0, 0xb0, 7, 127],
      [1, 0xb0, 7, 126],
    ]);
  });

  test('sets them anew behind a reset, and behind no other SysEx', () => {
    const reset: TimedBytes = [5, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
    const other: TimedBytes = [5, 0xf0, 0x7d, 0x01, 0xf7];
    const statuses = (rows: number[][]) => rows.map(([, status]) => status);
    expect(statuses(scaled(50, note(1), reset, note(6)))).toEqual([0xb0, 0x90, 0xf0, 0xb0, 0x90]);
    expect(statuses(scaled(50, note(1), other, note(6)))).toEqual([0xb0, 0x90, 0xf0, 0x90]);
    expect(scaled(50, [0, 0xb0, 8, 80])).toEqual([[0, 0xb0, 8, 80]]);
  });

  test('or not at all, where nothing is asked', () => {
    const columns = timelineOf(ROWS);
    expect(scaleVolume(columns, 100)).toBe(columns);
  });
});
