import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { NEW_ROW, RowEdits } from '../../../../src/core/arrange/fit/row-edits.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';
import { columnsOfText, END, edited, textOf } from './rows-as-text.ts';

/** Three tracks whose messages often stand at one tick; each is told by its number. */
const written = fc.array(fc.array(fc.nat(2), { maxLength: 6 }), { minLength: 3, maxLength: 3 });
const added = fc.array(
  fc.record({
    tick: fc.integer({ min: -1, max: 12 }),
    before: fc.nat(18),
    track: fc.nat(2),
  }),
  { maxLength: 8 },
);
const dropped = fc.array(fc.nat(17), { maxLength: 4 });

test('what was added stands where a reader of the file would find it: by tick, by track, as written', () => {
  fc.assert(
    fc.property(written, added, dropped, (tracks, more, less) => {
      let number = 0;
      const song = readSong(
        songBytes(
          tracks.map((waits) =>
            waits.map((wait): DeltaEvent => {
              number += 1;
              return [wait, [0xb0, 20, number]];
            }),
          ),
        ),
      );
      const { columns } = buildTimeline(song);
      const endTick = 99;
      const end = { tick: endTick, micros: 99_000, microsAt: (tick: number) => tick * 1000 };
      const edits = new RowEdits(columns);
      expect(edits.isEmpty).toBe(true);
      for (const row of less) if (row < columns.count) edits.drop(row);
      for (const [n, { tick, before, track }] of more.entries())
        edits.addAt(tick, Math.min(before, columns.count), 0xb1, 21, n, track);
      const made = edits.made(end);
      /** Rows of a tick and track that stand before a row: only among these `before` says something. */
      const among = (tick: number, track: number, before: number) =>
        Array.from({ length: Math.min(before, columns.count) }, (_, row) => row).filter(
          (row) => columns.tick[row] === tick && columns.track[row] === track,
        ).length;
      const rows = [
        ...Array.from({ length: columns.count }, (_, row) => ({
          tick: columns.tick[row]!,
          track: columns.track[row]!,
          place: 2 * among(columns.tick[row]!, columns.track[row]!, row) + 1,
          order: 0,
          data: columns.data2[row]!,
          status: columns.status[row]!,
          origin: row,
        })).filter(({ origin }) => !less.includes(origin)),
        ...more.map(({ tick, before, track }, order) => ({
          tick: tick < 0 ? endTick : tick,
          track,
          place: tick < 0 ? 0 : 2 * among(tick, track, before),
          order,
          data: order,
          status: 0xb1,
          origin: NEW_ROW,
        })),
      ].sort((a, b) => a.tick - b.tick || a.track - b.track || a.place - b.place || a.order - b.order);
      expect(
        Array.from({ length: made.columns.count }, (_, row) => [
          made.columns.tick[row],
          made.columns.track[row],
          made.columns.status[row],
          made.columns.data2[row],
          made.origin[row],
        ]),
      ).toEqual(rows.map(({ tick, track, status, data, origin }) => [tick, track, status, data, origin]));
    }),
  );
});

describe('edits of rows', () => {
  const SONG = ['0 F0 7E 7F 09 01 F7', '1 F0 7D 05 F7', '10 90 3C 40', '20 80 3C 40'];
  const made = (edit: (edits: RowEdits) => void) => edited(SONG, (_, edits) => edit(edits));

  test('are none where nothing is changed, or put as it stands', () => {
    expect(made((edits) => edits.put(2, 0x90, 60, 0x40))).toMatchObject({ isEmpty: true, rows: SONG });
    expect(made((edits) => edits.put(2, 0x91, 60, 0x40)).isEmpty).toBe(false);
    expect(made((edits) => edits.put(2, 0x90, 61, 0x40)).isEmpty).toBe(false);
    expect(made((edits) => edits.put(2, 0x90, 60, 0x41)).isEmpty).toBe(false);
    expect(made((edits) => edits.drop(0)).isEmpty).toBe(false);
    expect(made((edits) => edits.addAt(5, 0, 0xc0, 1, 0, 0)).isEmpty).toBe(false);
  });

  test('put, dropped and added rows; notes are paired anew', () => {
    const columns = columnsOfText(...SONG);
    const edits = new RowEdits(columns);
    edits.put(2, 0x91, 61, 0x50);
    edits.put(3, 0x81, 61, 0x51);
    edits.drop(1);
    expect([edits.isDropped(0), edits.isDropped(1)]).toEqual([false, true]);
    edits.addBefore(2, 0xc1, 5, 0, 0);
    edits.addAfter(2, 0xc1, 6, 0, 0);
    edits.addBefore(4, 0xc1, 7, 0, 0);
    edits.addAt(15, 0, 0xc1, 8, 0, 3);
    const { columns: after, origin } = edits.made(END);
    expect(textOf(after)).toEqual([
      '0 F0 7E 7F 09 01 F7',
      '10 C1 05',
      '10 91 3D 50',
      '10 C1 06',
      '15/3 C1 08',
      '20 81 3D 51',
      '9000 C1 07',
    ]);
    expect(Array.from(origin)).toEqual([0, NEW_ROW, 2, NEW_ROW, NEW_ROW, 3, NEW_ROW]);
    expect(Array.from(after.micros)).toEqual([0, 10_000, 10_000, 10_000, 15_000, 20_000, 9_000_000]);
    expect([after.partner[2], after.partner[5]]).toEqual([5, 2]);
    // Those given stay as they are.
    expect(textOf(columns)).toEqual(SONG);
  });

  test('one byte of a SysEx, and no other; those given keep theirs', () => {
    const columns = columnsOfText(...SONG);
    const edits = new RowEdits(columns);
    edits.putSysExByte(1, 1, 9);
    edits.putSysExByte(0, 3, 3);
    expect(edits.isEmpty).toBe(false);
    expect(textOf(edits.made(END).columns).slice(0, 2)).toEqual(['0 F0 7E 7F 09 03 F7', '1 F0 7D 09 F7']);
    expect(textOf(columns)).toEqual(SONG);
  });

  test('at the end stand those that are put there, behind a song that is longer than it says as well', () => {
    const rows = (end: typeof END, ...lines: string[]) => {
      const edits = new RowEdits(columnsOfText(...lines));
      edits.addAt(-1, 0, 0xc0, 1, 0, 0);
      return textOf(edits.made(end).columns);
    };
    expect(rows({ ...END, tick: 5 }, ...SONG).at(-1)).toBe('20 C0 01');
    expect(rows({ ...END, tick: 25 }, ...SONG).at(-1)).toBe('25 C0 01');
    expect(rows({ ...END, tick: 0 })).toEqual(['0 C0 01']);
  });
});
