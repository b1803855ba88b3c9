import { expect, test } from 'vitest';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { GrowingColumn } from '../../../src/core/compare/growing-column.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';

/** Forty notes of one key, a quarter (500 ms) apart, velocities 41 to 80; at the twentieth two strikes in one moment. */
function twice(): Uint8Array {
  const events: DeltaEvent[] = [];
  for (let n = 0; n < 40; n += 1) {
    events.push([n === 0 ? 0 : 48, [0x90, 60, 41 + n]]);
    if (n === 20)
      events.push([0, [0x90, 60, 99]], [20, [0x80, 60, 64]], [0, [0x80, 60, 64]], [28, [0xb0, 1, 0]]);
    else events.push([48, [0x80, 60, 64]]);
  }
  return songBytes([events], { division: 96 });
}

const SONG = buildTimeline(readSong(twice()));

/** The song as sent, less rows and with bytes in between. */
function heard(
  isGone: (row: number) => boolean,
  more: readonly (readonly [micros: number, ...bytes: number[]])[] = [],
) {
  const { columns } = SONG;
  const chunks = Array.from({ length: columns.count }, (_, row) => ({
    micros: 1e6 + columns.micros[row]! + row,
    bytes: Uint8Array.of(columns.status[row]!, columns.data1[row]!, columns.data2[row]!),
  })).filter((_, row) => !isGone(row));
  chunks.push(...more.map(([micros, ...bytes]) => ({ micros, bytes: Uint8Array.from(bytes) })));
  return heardFromChunks(chunks.sort((a, b) => a.micros - b.micros));
}

test('of two strikes of a key in one moment the one that came is matched by its velocity', () => {
  const { columns } = SONG;
  for (const velocity of [61, 99]) {
    const found = compareMusic(
      SONG,
      heard((row) => columns.status[row] === 0x90 && columns.data2[row] === velocity),
    );
    const lines = [...found.notes];
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatchObject({ kind: 'missing' });
    const { written } = lines[0] as { written: number };
    expect(found.written.velocity[written]).toBe(velocity);
  }
});

test('a strike that was broken into that key is the one too many, and not the right one', () => {
  const at = 1e6 + 5 * 500_000 - 400;
  const found = compareMusic(
    SONG,
    heard(
      () => false,
      [
        [at, 0x90, 60, 7],
        [at + 200_000, 0x80, 60, 0],
      ],
    ),
  );
  expect(found.notes).toMatchObject({ missing: 0, added: 1, changed: 0 });
});

test('a column that grows is one piece when asked, and grows on', () => {
  const column = new GrowingColumn((length) => new Float64Array(length));
  for (let n = 0; n < 40_000; n += 1) column.push(n);
  const first = column.whole();
  expect([first.length, first[0], first[39_999]]).toEqual([40_000, 0, 39_999]);
  for (let n = 40_000; n < 70_000; n += 1) column.push(n);
  column.set(5, -5);
  const second = column.whole();
  expect(second.length).toBe(70_000);
  expect([second[5], second[6], second[69_999], column.get(5)]).toEqual([-5, 6, 69_999, -5]);
  expect(first[6]).toBe(6);
});
