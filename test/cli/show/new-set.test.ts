import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readSet } from '../../../src/show/read-set.ts';
import { answerOf } from '../../support/command-line.ts';
import { songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { FORMAT_0 } from '../../support/worked-examples.ts';

/** A note that nothing ends: `check` has something to say. */
const HANGS = songBytes([
  [
    [0, [0x90, 60, 80]],
    [96, [0xb0, 7, 100]],
  ],
]);

function folderWith(songs: Readonly<Record<string, Uint8Array | string>>): string {
  const folder = tempFolder('new-set');
  mkdirSync(join(folder, 'songs'));
  for (const [name, bytes] of Object.entries(songs)) writeFileSync(join(folder, 'songs', name), bytes);
  return folder;
}

describe('show --new', () => {
  test('writes what check found above each song, and leaves out what cannot be read', async () => {
    const folder = folderWith({ 'a.mid': FORMAT_0, 'b.mid': HANGS, 'torn.mid': 'MThd' });
    const set = join(folder, 'fair.toml');
    const { code, stderr } = await answerOf(['show', '--new', join(folder, 'songs'), set]);
    expect(code).toBe(0);
    expect(stderr).toMatch(/^left out: .*torn\.mid: [^\n]+\n.*2 songs; play it with wirepit show/);
    const text = readFileSync(set, 'utf8');
    const [, first, second] = text.split(/^\[\[song\]\]$/m);
    expect(first).toContain('file = "songs/a.mid"');
    expect(second).toContain('file = "songs/b.mid"');
    // The remarks of b stand between a and b.
    expect(first).toMatch(/\n# [^\n]*1/);
    expect(
      text
        .split('[[song]]')[0]!
        .split('\n')
        .filter((line) => line.startsWith('# ')),
    ).toHaveLength(1);
    const { set: read } = readSet(set);
    expect(read.loops).toBe(true);
    expect(read.songs.map(({ path, before }) => [path, before.seconds])).toEqual(
      ['a.mid', 'b.mid'].map((name) => [join(folder, 'songs', name), 3]),
    );
  });

  test.each([
    ['a folder without songs', {}, /no song/],
    ['a folder of what cannot be read', { 'torn.mid': 'MThd' }, /no song of this folder can be read/],
  ] as const)('%s: refused in a line, and nothing is written', async (_, songs, why) => {
    const folder = folderWith(songs);
    const set = join(folder, 'fair.toml');
    const { code, stderr } = await answerOf(['show', '--new', join(folder, 'songs'), set]);
    expect(code).toBe(2);
    expect(stderr.trim().split('\n').at(-1)).toMatch(why);
    expect(existsSync(set)).toBe(false);
  });
});
