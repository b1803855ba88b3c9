import { describe, expect, test } from 'vitest';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { preferVelocity } from '../../../src/core/compare/prefer-velocity.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

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

describe('of strikes that may be taken for one another', () => {
  type Strike = LaidNote & { readonly of?: number };
  /** [written] heard note, after which is which was known as is given by the heard ones: −1 for none. */
  function preferred(song: readonly LaidNote[], heard: readonly Strike[]) {
    const writtenOf = Int32Array.from(heard, ({ of = -1 }) => of);
    const heardOf = Int32Array.from(song, (_, n) => writtenOf.indexOf(n));
    preferVelocity(writtenNotes(song), heardNotes(heard), { heardOf, writtenOf, matched: 0 });
    for (const [n, found] of heardOf.entries()) if (found >= 0) expect(writtenOf[found]).toBe(n);
    expect(writtenOf.filter((n) => n >= 0)).toHaveLength(heardOf.filter((n) => n >= 0).length);
    return [...heardOf];
  }
  const at = (micros: number, velocity: number, some: Partial<Strike> = {}): Strike => ({
    at: micros,
    key: 60,
    velocity,
    ...some,
  });
  const LOUD = 100;

  test('the one too many is the one that is not as loud, before it or behind it', () => {
    const song = [at(0, LOUD)];
    expect(preferred(song, [at(0, 7, { of: 0 }), at(20_000, LOUD)])).toEqual([1]);
    expect(preferred(song, [at(0, LOUD), at(20_000, 7, { of: 0 })])).toEqual([0]);
    expect(preferred(song, [at(0, 7, { of: 0 }), at(20_001, LOUD)])).toEqual([0]);
    expect(preferred(song, [at(0, LOUD), at(20_001, 7, { of: 0 })])).toEqual([1]);
    // Rather the one behind it.
    expect(preferred(song, [at(0, LOUD), at(1, 7, { of: 0 }), at(2, LOUD)])).toEqual([2]);
  });

  test('not where it is as loud as it ought to be, or the other is of another key, channel, loudness, or note', () => {
    const song = [at(0, LOUD), at(5, 50)];
    expect(preferred(song, [at(0, LOUD, { of: 0 }), at(5, LOUD), at(6, 50, { of: 1 })])).toEqual([0, 2]);
    expect(preferred(song, [at(0, 7, { of: 0 }), at(5, LOUD, { key: 61 }), at(6, 50, { of: 1 })])).toEqual([
      0, 2,
    ]);
    expect(preferred(song, [at(0, 7, { of: 0 }), at(5, LOUD, { channel: 1 }), at(6, 50, { of: 1 })])).toEqual(
      [0, 2],
    );
    expect(preferred(song, [at(0, 7, { of: 0 }), at(5, LOUD - 1), at(6, 50, { of: 1 })])).toEqual([0, 2]);
    expect(preferred([at(0, LOUD), at(5, LOUD)], [at(0, 7, { of: 0 }), at(5, LOUD, { of: 1 })])).toEqual([
      0, 1,
    ]);
    // One that is the first note of all is taken.
    expect(preferred([at(0, LOUD), at(5, LOUD)], [at(0, LOUD, { of: 0 }), at(5, 7, { of: 1 })])).toEqual([
      0, 1,
    ]);
    // What is gone is no strike to prefer.
    expect(preferred(song, [at(6, 50, { of: 1 })])).toEqual([-1, 0]);
  });

  test('the one that is gone is the one that nobody heard as loud', () => {
    const heard = [at(0, LOUD, { of: 0 })];
    expect(preferred([at(0, 7), at(20_000, LOUD)], heard)).toEqual([-1, 0]);
    expect(preferred([at(0, 7), at(20_001, LOUD)], heard)).toEqual([0, -1]);
    expect(preferred([at(0, LOUD), at(20_000, 7)], [at(0, LOUD, { of: 1 })])).toEqual([0, -1]);
    expect(preferred([at(0, 7), at(5, LOUD, { key: 61 })], heard)).toEqual([0, -1]);
    // One that came is not gone.
    expect(preferred([at(0, 7), at(5, LOUD)], [...heard, at(5, LOUD, { of: 1 })])).toEqual([0, 1]);
    // The first of all is behind another.
    expect(preferred([at(0, LOUD), at(1, 1, { key: 9 }), at(2, 7)], [at(0, LOUD, { of: 2 })])).toEqual([
      0, -1, -1,
    ]);
  });

  test('twenty-four notes are looked at on either side', () => {
    const others = (count: number) => Array.from({ length: count }, (_, n) => at(10, 1, { key: n }));
    const song = [at(0, LOUD)];
    const behind = (count: number) =>
      preferred(song, [at(0, 7, { of: 0 }), ...others(count), at(10, LOUD)])[0];
    expect([behind(23), behind(24)]).toEqual([24, 0]);
    const ahead = (count: number) =>
      preferred(song, [at(0, LOUD), ...others(count), at(10, 7, { of: 0 })])[0];
    expect([ahead(23), ahead(24)]).toEqual([0, 25]);
  });
});
