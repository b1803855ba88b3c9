import fc from 'fast-check';
import { expect, test } from 'vitest';
import { NEW_ROW, RowEdits } from '../../../../src/core/arrange/fit/row-edits.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';

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
