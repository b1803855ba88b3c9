import { describe, expect, test } from 'vitest';
import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import type { PackOptions } from '../../../../src/core/wire/packing/pack-options.ts';
import { NO_ROW } from '../../../../src/core/wire/packing/row-rules.ts';
import { MIDI_WIRE, type WireTraits } from '../../../../src/core/wire/wire-traits.ts';
import { toHex } from '../../../support/hex.ts';
import { columnsOf, type Moment } from '../columns-of.ts';
import { stagesOf } from './stages.ts';

// A byte takes 320 µs, a controller or note-off 960, a program 640. Before each moment 1920 µs are kept free: two
// messages of three bytes.
const SYSEX = 'F0 7F 7F 04 01 00 40 F7'; // 8 bytes, 2560 µs

/** Rows that are no onsets as `message need deadline handOver`, in the order of the file. */
function linesOf(columns: TimelineColumns, options: PackOptions = {}, traits: WireTraits = MIDI_WIRE) {
  const { columns: sorted, rules, starts } = stagesOf(columns, { setupFirst: false, ...options }, traits);
  return Array.from({ length: sorted.count }, (_, row) => {
    const status = sorted.status[row]!;
    const message = status >= 0xf0 ? 'F0' : toHex([status, sorted.data1[row]!, sorted.data2[row]!]);
    const need = starts.need[row] === NO_ROW ? '-' : starts.need[row];
    return rules.kind[row] === 0 ? '' : `${message} ${need} ${starts.deadline[row]} ${starts.handOver[row]}`;
  }).filter((line) => line !== '');
}
const startsOf = (...moments: Moment[]) => linesOf(columnsOf(...moments));

/** Sixteen notes on one channel: 33 bytes, 10,560 µs. */
const crowd = (channel: number) =>
  Array.from({ length: 16 }, (_, i) => `9${channel.toString(16)} ${(60 + i).toString(16)} 40`);
/** Five: 11 bytes, 3520 µs. */
const few = (channel: number) => crowd(channel).slice(0, 5);

describe('when a message is needed', () => {
  test('a setup by the next notes of its channel, a note-off by the next strike of its key', () => {
    const lines = startsOf(
      [0, '90 3C 40', '90 3D 40', '91 3C 40'],
      [1_000_000, '80 3C 40', '80 3D 40', '81 3C 40'],
      [1_100_000, 'C0 05', 'C1 05'],
      [2_000_000, '90 3C 40', '92 40 40'],
      [3_000_000, '91 40 40'],
    );
    expect(lines.map((line) => line.split(' ').slice(0, 4).join(' '))).toEqual([
      '80 3C 40 1', // its own strike, and that of the program behind it
      '80 3D 40 1', // the program behind it must be out before the notes of moment 1
      '81 3C 40 2',
      'C0 05 00 1',
      'C1 05 00 2',
    ]);
    expect(startsOf([0, '90 3C 40'], [1_000_000, '80 3C 40'], [2_000_000, '90 3D 40'])).toEqual([
      '80 3C 40 - 1020000 1000000',
    ]);
    expect(startsOf([0, '90 3C 40'], [1_000_000, '80 3C 40'], [1_010_000, '90 3C 40'])).toEqual([
      '80 3C 40 1 1008080 1000000',
    ]);
  });

  test('a SysEx and all that stands before it by the next notes of any channel', () => {
    const lines = startsOf([0, 'C0 05', 'B1 07 64', SYSEX, 'C2 05'], [1000, '93 3C 40'], [2000, '90 3C 40']);
    expect(lines.map((line) => line.split(' ').at(-3))).toEqual(['0', '0', '0', '-']);
  });

  test('what is told again by nobody, but for what stands behind it', () => {
    const lines = startsOf([0, 'B0 07 64', 'B0 07 64'], [1000, '90 3C 40']);
    expect(lines[1]).toBe('B0 07 64 - 50000 0');
    expect(startsOf([0, 'B0 07 64', 'B0 07 64', 'C0 05'], [10_000, '90 3C 40'])[1]).toMatch(
      /^B0 07 64 0 8080/,
    );
  });
});

describe('how long a message may wait', () => {
  test('note-offs 20 ms or what the options say, others 50 ms', () => {
    const columns = columnsOf([0, '90 3C 40', 'E1 00 40', SYSEX], [1000, '80 3C 40']);
    expect(linesOf(columns)).toEqual(['E1 00 40 - 50000 0', 'F0 - 50000 0', '80 3C 40 - 21000 1000']);
    expect(linesOf(columns, { yieldMicros: 5 })[2]).toBe('80 3C 40 - 1005 1000');
  });

  test('not until the notes that need it: two messages before them', () => {
    const columns = columnsOf([0, '91 3C 40'], [100_000, 'B0 07 64'], [140_000, '90 3C 40']);
    expect(linesOf(columns)).toEqual(['B0 07 64 1 138080 100000']);
    // 38,400 baud: a byte takes 260.4 µs; with a gap of 100 two messages take 1762.5.
    expect(linesOf(columns, {}, { ...MIDI_WIRE, baud: 38_400, gapMicros: 100 })).toEqual([
      'B0 07 64 1 138237.5 100000',
    ]);
  });
});

describe('when it must begin', () => {
  test('one after another before the notes, the last to come nearest to them', () => {
    expect(startsOf([1_000_000, 'C0 05', 'B0 07 64', '90 3C 40'])).toEqual([
      'C0 05 00 0 998080 996480', // 640 before the next
      'B0 07 64 0 998080 997120', // 960 before its deadline
    ]);
    // Those of several channels share the wire: of two that may come equally early the later in the file is laid first.
    expect(startsOf([1_000_000, 'C0 05', 'B1 07 64', '90 3C 40', '91 3C 40'])).toEqual([
      'C0 05 00 0 998080 996480',
      'B1 07 64 0 998080 997120',
    ]);
  });

  test('what may move least is laid nearest to the notes', () => {
    // Channel 1 sounds until 997,000: its note-off may come 30 ms early and its program no earlier than that. Channel 2
    // is silent.
    const lines = startsOf(
      [0, '90 3C 40'],
      [997_000, '80 3C 40'],
      [1_000_000, 'C0 05', 'B1 07 64', '90 40 40', '91 3C 40'],
    );
    expect(lines).toEqual([
      '80 3C 40 1 998080 996480', // 960 before the program
      'C0 05 00 1 998080 997440', // its 640
      'B1 07 64 1 998080 995520', // 960 before the note-off
    ]);
  });

  test('what may not move at all has its room too, where it is needed soon', () => {
    const columns = columnsOf(
      [0, '90 3C 40'],
      [997_120, '80 3C 40'],
      [1_000_000, 'C1 05', '90 3C 40', '91 40 40'],
    );
    expect(linesOf(columns, { offEarlyMicros: 0 })).toEqual([
      '80 3C 40 1 998080 997120',
      'C1 05 00 1 998080 996480', // its 640 before the note-off
    ]);
  });

  test('where the wire is busy with notes, before these', () => {
    // The notes of channel 2 take the wire from 990,000 to 1,000,560.
    expect(startsOf([990_000, ...crowd(1)], [1_000_000, 'C0 05', 'B0 07 64', '90 3C 40'])).toEqual([
      'C0 05 00 1 998640 988400',
      'B0 07 64 1 998640 989040',
    ]);
  });

  test('where it fits: a rest that is too short is passed over', () => {
    // Between 1,000,560 and the deadline at 1,001,080 there is room for one byte; at 1,001,520 for just three.
    const startsAt = (micros: number, ...messages: string[]) =>
      startsOf([990_000, ...crowd(1)], [micros, ...messages, '90 3C 40']);
    expect(startsAt(1_003_000, 'B0 07 64')).toEqual(['B0 07 64 1 1001080 989040']);
    expect(startsAt(1_003_440, 'B0 07 64')).toEqual(['B0 07 64 1 1001520 1000560']);
    expect(startsAt(1_003_439, 'B0 07 64')).toEqual(['B0 07 64 1 1001519 989040']);
    // Two: the one behind fits, the other goes before the notes.
    expect(startsAt(1_003_440, 'C0 05', 'B0 07 64')).toEqual([
      'C0 05 00 1 1001520 989360',
      'B0 07 64 1 1001520 1000560',
    ]);
  });

  test('but never earlier than it may: then it stays as near to that as it can', () => {
    // Channel 1 is silent from 995,000 on: what comes cannot pass before the crowd, so it goes right behind it.
    const columns = columnsOf(
      [0, '90 3C 40'],
      [990_000, ...crowd(1)],
      [995_000, '80 3C 40'],
      [1_003_000, 'B0 07 64', '90 40 40'],
    );
    expect(linesOf(columns, { offEarlyMicros: 0 })).toEqual([
      '80 3C 40 2 1001080 995000',
      'B0 07 64 2 1001080 1000560',
    ]);
    // And a second one too, though it then overlaps the first: which goes first is decided later.
    const two = columnsOf(
      [0, '90 3C 40'],
      [990_000, ...crowd(1)],
      [995_000, '80 3C 40'],
      [1_003_000, 'B0 07 64', 'B0 0A 40', '90 40 40'],
    );
    expect(linesOf(two, { offEarlyMicros: 0 }).slice(1)).toEqual([
      'B0 07 64 2 1001080 1000560',
      'B0 0A 40 2 1001080 1000560',
    ]);
    // In mid-note a bend comes 10 ms early and no more, however full the wire.
    expect(startsOf([0, '90 3C 40'], [990_000, ...crowd(1)], [1_000_500, 'E0 00 40', '90 40 40'])).toEqual([
      'E0 00 40 2 998640 990500',
    ]);
  });

  test('not at all where nobody needs it soon: then at its moment', () => {
    expect(startsOf([0, '90 3C 40'], [100_000, '80 3C 40', 'C0 05'], [500_000, '90 3C 40'])).toEqual([
      '80 3C 40 1 120000 100000',
      'C0 05 00 1 150000 100000',
    ]);
  });

  test('and then it takes no room from others', () => {
    // The note-off may wait until 120,000 and is laid nowhere; so the program lies just before its deadline.
    const lines = startsOf([0, '90 3C 40'], [100_000, '80 3C 40'], [119_400, 'C1 05'], [121_420, '91 40 40']);
    expect(lines).toEqual(['80 3C 40 - 120000 100000', 'C1 05 00 1 119500 118860']);
  });

  test('several needs, one before the other', () => {
    const lines = startsOf(
      [500_000, 'C1 05', '91 3C 40'],
      [502_000, 'C2 05', '92 3C 40'],
      [504_000, 'C3 05', '93 3C 40'],
    );
    expect(lines).toEqual([
      'C1 05 00 0 498080 497440',
      // Notes from 500,000 to 500,960: the deadline 500,080 lies among them, so it goes before them, and before C1's
      // time, which is laid later on this walk.
      'C2 05 00 1 500080 499360',
      // 502,080 lies among those of 502,000; before them there is room.
      'C3 05 00 2 502080 501360',
    ]);
  });
});

describe('a note-off', () => {
  test('comes early for its own key’s next strike', () => {
    expect(startsOf([0, '90 3C 40'], [100_000, '80 3C 40', '90 3C 40'])).toEqual(['80 3C 40 1 98080 97120']);
    // Never before the middle of its note.
    expect(startsOf([0, '90 3C 40'], [2000, '80 3C 40', '90 3C 40'])).toEqual(['80 3C 40 1 80 1000']);
  });

  test('for no strike that comes only when its patience is over', () => {
    const until = (strike: number) =>
      startsOf(
        [0, '90 3C 40'],
        [95_000, ...crowd(1)], // until 105,560
        [100_000, '80 3C 40'],
        [105_000, ...crowd(2)], // until 116,120
        [116_000, ...few(3)], // until 119,640
        [strike, '90 3C 40'],
      );
    // The wire is full from 95,000 to 119,640.
    expect(until(119_999)).toEqual(['80 3C 40 4 118079 94040']);
    expect(until(120_000)).toEqual(['80 3C 40 4 118080 100000']);
  });

  test('behind another one that comes earlier, as early as that', () => {
    // Keys 60 and 61 end together. 61 is struck again at once, 60 after 9 ms; the first in the file leads.
    const lines = startsOf(
      [0, '90 3C 40', '90 3D 40'],
      [100_000, '80 3C 40', '80 3D 40', '90 3D 40'],
      [109_000, '90 3C 40'],
    );
    expect(lines).toEqual(['80 3C 40 2 107080 97120', '80 3D 40 1 98080 97120']);
  });
});

test('what stands before a SysEx that goes early goes as early', () => {
  const lines = startsOf([0, 'C0 05'], [1_000_000, 'B1 07 64', SYSEX, '92 3C 40']);
  expect(lines).toEqual([
    'C0 05 00 0 50000 0',
    'B1 07 64 0 998080 994560',
    'F0 0 998080 995520', // 8 bytes
  ]);
});
