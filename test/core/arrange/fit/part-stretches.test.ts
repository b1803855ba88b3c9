import { describe, expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { partOf } from '../../../../src/core/arrange/fit/part-of.ts';
import { ChannelDisturbance, partStretches } from '../../../../src/core/arrange/fit/part-stretches.ts';
import { pedalledChannels } from '../../../../src/core/arrange/fit/pedalled-channels.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';

const note = (at: number, off: number, channel = 0, key = 60): TimedBytes[] => [
  [at, 0x90 | channel, key, 64],
  [off, 0x80 | channel, key, 0],
];

function stretches(
  rows: readonly TimedBytes[],
  restMicros: number,
  leaders = new Map<number, number>(),
  drums: number[] = [],
) {
  const columns = timelineOf(rows);
  const notes = heardNotes(columns, drums);
  const timeOf = (row: number) => (row < columns.count ? columns.micros[row]! : 1e6);
  return partStretches(notes, leaders, restMicros, timeOf).map(
    ({ leader, sound, startRow, endRow, notes: its }) => ({
      leader,
      sound,
      from: timeOf(startRow),
      to: timeOf(endRow),
      notes: its.length,
    }),
  );
}

describe('stretches of a part', () => {
  test('end with a rest that is long enough, counted from the last note’s end', () => {
    const rows = [...note(0, 100), ...note(50, 300, 0, 64), ...note(400, 500)];
    const one = { leader: 0, sound: 0, from: 0, to: 500, notes: 3 };
    expect(stretches(rows, 101)).toEqual([one]);
    expect(stretches(rows, 100)).toEqual([
      { ...one, to: 300, notes: 2 },
      { ...one, from: 400, notes: 1 },
    ]);
  });

  test('another program is another part, and each channel; drums are none', () => {
    const rows = [
      ...note(0, 100),
      [110, 0xc0, 5] as TimedBytes,
      ...note(120, 200),
      ...note(130, 210, 1),
      ...note(140, 220, 9),
    ];
    expect(stretches(rows, 1000, new Map(), [9])).toEqual([
      { leader: 0, sound: 0, from: 0, to: 100, notes: 1 },
      { leader: 0, sound: 5, from: 120, to: 200, notes: 1 },
      { leader: 1, sound: 0, from: 130, to: 210, notes: 1 },
    ]);
  });

  test('channels that play along are of their leader’s', () => {
    const rows = [...note(0, 100), ...note(50, 400, 3), ...note(450, 500)];
    expect(stretches(rows, 300, new Map([[partOf(3, 0), 0]]))).toEqual([
      { leader: 0, sound: 0, from: 0, to: 500, notes: 3 },
    ]);
  });
});

describe('what disturbs a channel', () => {
  // Rows: 0 bent, 1 straight, 2 pedal down, 3 pedal up, 4 all notes off, 5 all sound off, 6 reset of controllers.
  const still = new ChannelDisturbance(
    timelineOf([
      [0, 0xe0, 0, 65],
      [1, 0xe0, 0, 64],
      [2, 0xb0, 64, 64],
      [3, 0xb0, 64, 63],
      [4, 0xb0, 123, 0],
      [5, 0xb0, 120, 0],
      [6, 0xb0, 121, 0],
      [7, 0xe0, 1, 64],
      [8, 0xb0, 69, 127],
      [9, 0xb0, 70, 127],
      [10, 0xb0, 63, 127],
    ]),
  );

  test('bends and pedals, from before on and up to the end', () => {
    expect([still.isStill(0, 1, 2), still.isStill(0, 0, 1), still.isStill(0, 0, 2)]).toEqual([
      true,
      false,
      false,
    ]);
    expect([still.isStill(0, 1, 3), still.isStill(0, 2, 3), still.isStill(0, 3, 7)]).toEqual([
      false,
      false,
      true,
    ]);
    expect([still.isStill(0, 3, 8), still.isStill(0, 8, 11), still.isStill(1, 0, 11)]).toEqual([
      false,
      false,
      true,
    ]);
  });

  test('mode messages that end its notes, the last row among them and the first not', () => {
    expect([still.isCut(0, 0, 3), still.isCut(0, 0, 4), still.isCut(0, 3, 4)]).toEqual([false, true, true]);
    expect([still.isCut(0, 4, 5), still.isCut(0, 5, 10), still.isCut(1, 0, 10)]).toEqual([
      true,
      false,
      false,
    ]);
  });
});

test('pedalled channels: those on which a pedal that holds notes goes down', () => {
  const rows = (...messages: number[][]) => timelineOf(messages.map((bytes, n): TimedBytes => [n, ...bytes]));
  expect(
    pedalledChannels(rows([0xb0, 64, 63], [0xb1, 64, 64], [0xb2, 66, 127], [0xb3, 7, 127], [0x94, 64, 127])),
  ).toEqual([1, 2]);
  expect(pedalledChannels(rows([0xb1, 64, 64], [0xb2, 66, 127]), [66])).toEqual([2]);
});
