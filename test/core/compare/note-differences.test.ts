import { describe, expect, test } from 'vitest';
import { wholeSong } from '../../../src/core/compare/coverage.ts';
import type { MatchedMusic } from '../../../src/core/compare/match-music.ts';
import { NoteDifferences, noteDifferences } from '../../../src/core/compare/note-differences.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

/** Notes on both sides, and which heard one each written one is. */
function told(
  song: readonly LaidNote[],
  heard: readonly LaidNote[],
  heardOf: readonly number[],
  unheard: number[] = [],
) {
  const writtenOf = new Int32Array(heard.length).fill(-1);
  for (const [note, found] of heardOf.entries()) if (found >= 0) writtenOf[found] = note;
  const matching = { heardOf: Int32Array.from(heardOf), writtenOf, matched: 0 };
  const expected = Float64Array.from(song, ({ at }) => at);
  const coverage = wholeSong(song.length);
  for (const note of unheard) coverage.isUnheard[note] = 1;
  const found = noteDifferences(
    writtenNotes(song),
    heardNotes(heard),
    { matching, expected } as unknown as MatchedMusic,
    coverage,
  );
  const { missing, added, changed } = found;
  expect(found.length).toBe(missing + added + changed);
  return { lines: [...found], counts: { missing, added, changed } };
}

const SONG = [0, 1, 2, 3].map((n): LaidNote => ({ at: n * 200_000, key: 60 + n, velocity: 70 + n }));

describe('what of the notes is not as written', () => {
  test('nothing, where all came; one that did not, one too many, in the order of their times', () => {
    expect(told(SONG, SONG, [0, 1, 2, 3])).toEqual({
      lines: [],
      counts: { missing: 0, added: 0, changed: 0 },
    });
    const more = [SONG[0]!, { at: 100_000, key: 99 }, SONG[1]!, SONG[3]!];
    expect(told(SONG, more, [0, 2, -1, 3])).toEqual({
      lines: [
        { kind: 'added', heard: 1 },
        { kind: 'missing', written: 2 },
      ],
      counts: { missing: 1, added: 1, changed: 0 },
    });
    expect(told(SONG, more, [0, 2, -1, 3], [2]).counts).toEqual({ missing: 0, added: 1, changed: 0 });
  });

  test.each<[string, Partial<LaidNote>, object]>([
    ['its key', { key: 90 }, { kind: 'changed', what: 'key' }],
    ['its channel', { channel: 3 }, { kind: 'changed', what: 'channel' }],
    ['as far as sixty milliseconds', { key: 90, at: 260_000 }, { kind: 'changed', what: 'key' }],
    ['as early as that', { key: 90, at: 140_000 }, { kind: 'changed', what: 'key' }],
    ['farther', { key: 90, at: 260_001 }, { kind: 'missing' }],
    ['earlier than that', { key: 90, at: 139_999 }, { kind: 'added' }],
    ['key and channel', { key: 90, channel: 3 }, { kind: 'missing' }],
    ['key and velocity', { key: 90, velocity: 1 }, { kind: 'missing' }],
  ])('one that came but for %s', (_, change, wanted) => {
    const heard = SONG.map((note, n) => (n === 1 ? { ...note, ...change } : note));
    const { lines, counts } = told(SONG, heard, [0, -1, 2, 3]);
    expect(lines[0]).toMatchObject(wanted);
    const isChanged = 'what' in wanted;
    expect(counts).toEqual(
      isChanged ? { missing: 0, added: 0, changed: 1 } : { missing: 1, added: 1, changed: 0 },
    );
    if (isChanged) expect(lines[0]).toMatchObject({ written: 1, heard: 1 });
  });

  test('another velocity is a change of a note that came', () => {
    const heard = SONG.map((note, n) => (n === 2 ? { ...note, velocity: 1 } : note));
    expect(told(SONG, heard, [0, 1, 2, 3])).toEqual({
      lines: [{ kind: 'changed', written: 2, heard: 2, what: 'velocity' }],
      counts: { missing: 0, added: 0, changed: 1 },
    });
  });

  test('each that is too many stands for one that is missing, and no more', () => {
    const chord = [60, 61].map((key): LaidNote => ({ at: 0, key }));
    const { lines, counts } = told(chord, [{ at: 0, key: 90 }], [-1, -1]);
    expect(counts).toEqual({ missing: 1, added: 0, changed: 1 });
    expect(lines).toEqual([
      { kind: 'changed', written: 0, heard: 0, what: 'key' },
      { kind: 'missing', written: 1 },
    ]);
  });

  test('of another song it is counted alone', () => {
    const { length, missing, added, changed } = NoteDifferences.counted(10, 7, 2);
    expect({ length, missing, added, changed }).toEqual({ length: 0, missing: 8, added: 5, changed: 0 });
  });
});
