import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import { onsetMomentsOf } from '../../../../src/core/wire/packing/onset-moments.ts';
import { type PackOptions, packSettings } from '../../../../src/core/wire/packing/pack-options.ts';
import { MIDI_WIRE, type WireTraits } from '../../../../src/core/wire/wire-traits.ts';
import { columnsOf } from '../columns-of.ts';
import { randomColumns } from '../random-song.ts';

/** A byte takes 320 µs. */
const BYTE = 320;
const WHOLE = { ...MIDI_WIRE, runningStatus: 'device' as const };
const GAP = { ...MIDI_WIRE, gapMicros: 500 };

const momentsOf = (columns: TimelineColumns, options: PackOptions = {}, traits: WireTraits = MIDI_WIRE) =>
  onsetMomentsOf(columns, traits, packSettings(options));

/** `target start end` of each moment. */
function timesOf(columns: TimelineColumns, options: PackOptions = {}, traits: WireTraits = MIDI_WIRE) {
  const { count, target, start, end } = momentsOf(columns, options, traits);
  return Array.from({ length: count }, (_, moment) => [target[moment], start[moment], end[moment]]);
}

/** So many notes of a channel. */
const chord = (channel: number, notes: number) =>
  Array.from({ length: notes }, (_, i) => `9${channel.toString(16)} ${(40 + i).toString(16)} 40`);

const SONG = columnsOf(
  [0, 'C0 05', '90 3C 40', '91 40 40', '90 43 00', '91 43 40'],
  [1000, '81 40 40', '92 3C 40', '91 40 40'],
  [5000, 'B0 07 40'],
  [10_000, '92 3E 40', '92 40 40'],
);

describe('the note-ons of a song, by moment', () => {
  test('are its strikes: no releases, nothing else', () => {
    const { count, rows, first, momentOf } = momentsOf(SONG);
    expect(count).toBe(3);
    expect([...rows]).toEqual([1, 2, 4, 6, 7, 9, 10]);
    expect([...first]).toEqual([0, 3, 5, 7]);
    expect([...rows].map((row) => momentOf[row])).toEqual([0, 0, 0, 1, 1, 2, 2]);
  });

  test('lie on a wire that has nothing else to carry', () => {
    expect(timesOf(SONG)).toEqual([
      [0, 0, 8 * BYTE], // 3 on channel 1; 3 + 2 on channel 2
      // After them; 2 on channel 2, whose status is held; 3 on channel 3.
      [1000, 8 * BYTE, 13 * BYTE],
      [10_000, 10_000, 10_000 + 4 * BYTE], // 2 + 2 on channel 3, whose status is held
    ]);
  });

  test('whole, where the port encodes for itself, and with the gap its receiver wants', () => {
    expect(timesOf(SONG, {}, WHOLE)).toEqual([
      [0, 0, 9 * BYTE],
      [1000, 9 * BYTE, 15 * BYTE],
      [10_000, 10_000, 10_000 + 6 * BYTE],
    ]);
    expect(timesOf(SONG, {}, GAP)).toEqual([
      [0, 0, 8 * BYTE + 1500],
      [1000, 8 * BYTE + 1500, 13 * BYTE + 2500],
      [10_000, 10_000, 10_000 + 4 * BYTE + 1000],
    ]);
  });

  test('in any song: the held channel first, then channel by channel as they come, two bytes where it may be', () => {
    fc.assert(
      fc.property(randomColumns, fc.constantFrom(MIDI_WIRE, WHOLE, GAP), (columns, traits) => {
        const moments = momentsOf(columns, {}, traits);
        let [free, held] = [-Infinity, -1];
        for (let moment = 0; moment < moments.count; moment += 1) {
          const rows = moments.rows.subarray(moments.first[moment], moments.first[moment + 1]);
          const due = columns.micros[rows[0]!]!;
          const channels = Array.from(rows, (row) => columns.status[row]! & 15);
          const inTurn = [...new Set(channels.includes(held) ? [held, ...channels] : channels)];
          const start = Math.max(due, free);
          free = start;
          for (const channel of inTurn.flatMap((one) => channels.filter((other) => other === one))) {
            free += (channel === held && traits.runningStatus === 'ours' ? 2 : 3) * BYTE + traits.gapMicros;
            held = channel;
          }
          const { target, start: starts, end } = moments;
          expect([target[moment], starts[moment], end[moment]]).toEqual([due, start, free]);
        }
      }),
    );
  });
});

describe('early, where that is allowed', () => {
  const S = 1_000_000;
  const EARLY = { earlyMicros: 20_000 };

  test('one note ends at its moment', () => {
    expect(timesOf(columnsOf([S, ...chord(0, 1)]), EARLY)).toEqual([[S - 960, S - 960, S]]);
  });

  test('a chord lies about its moment: its first note is as early as its last one is late', () => {
    // 3 + 2 + 2 bytes end 960 and 2240 µs after their beginning: 1600 between.
    expect(timesOf(columnsOf([S, ...chord(0, 3)]), EARLY)).toEqual([[S - 1600, S - 1600, S + 640]]);
    // Where the receiver holds its status, the first ends after 640 and the last after 1920.
    expect(timesOf(columnsOf([0, ...chord(0, 1)], [S, ...chord(0, 3)]), EARLY)[1]).toEqual([
      S - 1280,
      S - 1280,
      S + 640,
    ]);
    expect(timesOf(columnsOf([0, ...chord(0, 1)], [S, ...chord(0, 3)]), EARLY, WHOLE)[1]).toEqual([
      S - 1920,
      S - 1920,
      S + 960,
    ]);
  });

  test('the gap behind its last note does not count', () => {
    // Ends 960 and 960 + 500 + 640 after the beginning: 1530 between. The wire is free 500 after that.
    expect(timesOf(columnsOf([S, ...chord(0, 2)]), EARLY, GAP)).toEqual([[S - 1530, S - 1530, S + 1070]]);
  });

  test('no earlier than allowed', () => {
    expect(timesOf(columnsOf([S, ...chord(0, 3)]), { earlyMicros: 700 })).toEqual([
      [S - 700, S - 700, S + 1540],
    ]);
    expect(timesOf(columnsOf([S, ...chord(0, 3)]), { earlyMicros: 1 })).toEqual([[S - 1, S - 1, S + 2239]]);
  });

  test('nor than the lead-in', () => {
    expect(timesOf(columnsOf([0, ...chord(0, 3)]), { ...EARLY, leadInMicros: 500 })).toEqual([
      [-500, -500, 1740],
    ]);
    expect(timesOf(columnsOf([0, ...chord(0, 3)]), { ...EARLY, leadInMicros: 0 })).toEqual([[0, 0, 2240]]);
  });

  test('two that would meet move together; what rest there was between them is used up', () => {
    // 7 bytes from 0 to 2240; 33 bytes from 3000 to 13,560, whose notes end 960 to 10,560 after their moment. Alone
    // these would begin 5760 early, in the midst of the first. So the first begins 5000 early and ends as they begin:
    // its notes are 4040 to 2760 early, theirs 4800 early to 4800 late.
    const columns = columnsOf([S, ...chord(0, 3)], [S + 3000, ...chord(1, 16)]);
    expect(timesOf(columns, EARLY)).toEqual([
      [S - 5000, S - 5000, S - 2760],
      [S - 2760, S - 2760, S + 7800],
    ]);
  });

  test('two that do not meet move each for itself', () => {
    // May the second be 2000 early only, it begins after the end of the first, which lies about its moment as before.
    const columns = columnsOf([S, ...chord(0, 3)], [S + 3000, ...chord(1, 16)]);
    expect(timesOf(columns, { earlyMicros: 2000 })).toEqual([
      [S - 1600, S - 1600, S + 640],
      [S + 1000, S + 1000, S + 11_560],
    ]);
  });

  test('a third that meets the second may push both into the first', () => {
    // Rests: from 2240 to 3000 and from 3960 to 4500. The third begins 5760 early, the others 540 and 760 less.
    const columns = columnsOf([S, ...chord(0, 3)], [S + 3000, ...chord(1, 1)], [S + 4500, ...chord(2, 16)]);
    expect(timesOf(columns, EARLY)).toEqual([
      [S - 4460, S - 4460, S - 2220],
      [S - 2220, S - 2220, S - 1260],
      [S - 1260, S - 1260, S + 9300],
    ]);
  });

  test('what is late already counts in the middle of a joined run', () => {
    // 33 bytes fill the wire until 10,560; the note due at 5000 follows at once and ends 6520 late; alone it would
    // go 6520 early. Together: 960 to 10,560 late, so all goes 5760 early.
    const columns = columnsOf([S, ...chord(0, 16)], [S + 5000, ...chord(1, 1)]);
    expect(timesOf(columns, EARLY)).toEqual([
      [S - 5760, S - 5760, S + 4800],
      [S + 4800, S + 4800, S + 5760],
    ]);
  });

  test('a long chord behind a short one pulls it along, and the run is centred as one', () => {
    // One note, then at 500 µs 16 notes that begin at 960. The first may go no further than the second needs.
    const columns = columnsOf([S, ...chord(0, 1)], [S + 500, ...chord(1, 16)]);
    // Lateness 960 of the first; 1420 to 11,020 of the others: 5990 early all.
    expect(timesOf(columns, EARLY)).toEqual([
      [S - 5990, S - 5990, S - 5030],
      [S - 5030, S - 5030, S + 5530],
    ]);
  });

  test('of two joined over a short rest the first may hold the latest note', () => {
    // Channel 2 is held: 8 notes are 16 bytes and end 640 to 5120 after their moment. After a rest of 100, 7 notes on
    // two channels, 16 bytes too, end 960 to 5120 after theirs. Alone 2880 and 3040 early: these would meet. With the
    // rest gone the first are 740 to 5220 late, measured by the move of the second: 2980, and 100 less for the first.
    const columns = columnsOf(
      [0, ...chord(1, 1)],
      [S, ...chord(1, 8)],
      [S + 5220, ...chord(0, 4), ...chord(2, 3)],
    );
    expect(timesOf(columns, EARLY).slice(1)).toEqual([
      [S - 2880, S - 2880, S + 2240],
      [S + 2240, S + 2240, S + 7360],
    ]);
  });

  test('nobody is handed over after its moment', () => {
    // 1 µs early: the second begins when the first lets it, which is after its moment.
    const columns = columnsOf([S, ...chord(0, 16)], [S + 100, ...chord(1, 1)]);
    expect(timesOf(columns, { earlyMicros: 1 })).toEqual([
      [S - 1, S - 1, S + 10_559],
      [S + 100, S + 10_559, S + 11_519],
    ]);
  });
});
