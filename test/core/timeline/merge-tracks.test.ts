import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Song } from '../../../src/core/smf/song.ts';
import { mergeTracks } from '../../../src/core/timeline/merge-tracks.ts';
import { newSentColumns } from '../../../src/core/timeline/sent-columns.ts';
import { type EventBytes, songOf } from './song-of.ts';

/** Told on the way which rows stand in their place: they are as they will be in the end. */
function merged(song: Song) {
  const merge = mergeTracks(song);
  const sent = newSentColumns(merge.count);
  const seen: { end: number; ticks: number[] }[] = [];
  let from = 0;
  merge.copyTo(sent, (end) => {
    seen.push({ end, ticks: [...sent.tick.subarray(from, end)] });
    from = end;
  });
  expect(seen.at(-1)!.end).toBe(merge.count);
  expect(seen.flatMap(({ ticks }) => ticks)).toEqual([...sent.tick]);
  return { ...merge, sent, stretches: seen.length };
}

const tracks = fc.array(
  fc.array(fc.tuple(fc.integer({ min: 0, max: 12 }), fc.boolean()), { maxLength: 12 }).map((rows) => {
    let tick = 0;
    return rows.map(([delta, meta]): EventBytes => {
      tick += Math.max(0, delta - 8); // many equal ticks
      return meta ? [tick, 0xff, 1] : [tick, 0x90, 60, 64];
    });
  }),
  { maxLength: 9 },
);

test('property: the order is that of a stable sort by tick, for what is sent and for metas', () => {
  fc.assert(
    fc.property(tracks, (list) => {
      const song = songOf({ tracks: list });
      const { sent, metas, endTick } = merged(song);
      const rows = list.flatMap((track, index) =>
        track.map(([tick, status]) => ({ tick, status, track: index })),
      );
      const sorted = rows.map((row, at) => ({ ...row, at })).sort((a, b) => a.tick - b.tick || a.at - b.at);
      const notes = sorted.filter(({ status }) => status === 0x90);
      const others = sorted.filter(({ status }) => status === 0xff);
      expect([...sent.tick]).toEqual(notes.map(({ tick }) => tick));
      expect([...sent.track]).toEqual(notes.map(({ track }) => track));
      expect([...metas.row]).toEqual(others.map(({ at }) => at));
      expect([...metas.tick]).toEqual(others.map(({ tick }) => tick));
      expect([...metas.track]).toEqual(others.map(({ track }) => track));
      expect(metas.count).toBe(others.length);
      expect(endTick).toBe(sorted.at(-1)?.tick ?? 0);
    }),
    { numRuns: 500 },
  );
});

test('ticks far apart, and more rows than one stretch of sorting holds', () => {
  let seed = 1;
  const random = (below: number) => {
    seed = (seed * 48_271) % 0x7fff_ffff;
    return seed % below;
  };
  for (const spread of [2 ** 32, 3_000_000, 500, 1]) {
    const list = Array.from({ length: 5 }, () =>
      Array.from({ length: 3000 }, () => random(spread))
        .sort((a, b) => a - b)
        .map((tick, index): EventBytes => [tick, 0x90, index % 128, 64]),
    );
    const { sent: all, stretches } = merged(songOf({ tracks: list }));
    // 15,000 rows, some 1,024 at a time and once more at the end; too far apart to be counted, all at once.
    if (spread === 500) expect(stretches).toBeGreaterThan(13);
    const sorted = list
      .flatMap((track, index) => track.map(([tick, , key]) => [tick, index, key] as const))
      .sort((a, b) => a[0] - b[0]);
    const found = Array.from(all.tick, (tick, row) => [tick, all.track[row], all.data1[row]]);
    expect(found).toEqual(sorted);
  }
});

test('format 2 beyond 2³²−1 ticks stops there and says so', () => {
  const song = songOf({
    format: 2,
    tracks: [[[4_000_000_000, 0x90, 60, 64]], [[400_000_000, 0x90, 60, 64]]],
  });
  const { sent, endTick, saturated, patternTick } = merged(song);
  expect([...sent.tick]).toEqual([4_000_000_000, 4_294_967_295]);
  expect({ endTick, saturated, patternTick }).toEqual({
    endTick: 4_294_967_295,
    saturated: true,
    patternTick: [0, 4_000_000_000],
  });
});
