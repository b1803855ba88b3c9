import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { findSongs } from '../../src/files/find-songs.ts';
import { Refusal } from '../../src/trouble/refusal.ts';
import { tempFolder } from '../support/temp-folder.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('find-songs');
});

function lay(...names: string[]): void {
  for (const name of names) {
    mkdirSync(join(folder, name, '..'), { recursive: true });
    writeFileSync(join(folder, name), 'x');
  }
}

function found(): string[] {
  return findSongs(folder).paths.map((path) => relative(folder, path));
}

describe('finding the songs in a folder', () => {
  it('knows them by the ending of their names, in any case', () => {
    lay('a.mid', 'b.MIDI', 'c.kar', 'd.Rmi', 'e.smf', 'f.txt', 'mid', 'g.mid.bak', '.hidden.mid');
    expect(found()).toEqual(['a.mid', 'b.MIDI', 'c.kar', 'd.Rmi', 'e.smf']);
  });

  it('orders them as people do, folder by folder', () => {
    lay('song 10.mid', 'song 2.mid', 'album/b.mid', 'album/a.mid', 'Tune.mid');
    expect(found()).toEqual(['album/a.mid', 'album/b.mid', 'song 2.mid', 'song 10.mid', 'Tune.mid']);
  });

  it('follows links to folders, but in no circle', () => {
    lay('deep/er/a.mid');
    symlinkSync(folder, join(folder, 'deep/er/back'));
    symlinkSync(join(folder, 'nowhere'), join(folder, 'lost.mid'));
    expect(found()).toEqual(['deep/er/a.mid']);
  });

  it('stops at a depth, and says so', () => {
    const deep = Array.from({ length: 40 }, (_, i) => `f${i}`).join('/');
    lay(`${deep}/a.mid`, 'b.mid');
    expect(found()).toEqual(['b.mid']);
    expect(findSongs(folder).unreadFolders).toHaveLength(1);
  });

  it('refuses what is no folder', () => {
    lay('a.mid');
    expect(() => findSongs(join(folder, 'a.mid'))).toThrow(Refusal);
    expect(() => findSongs(join(folder, 'absent'))).toThrow(Refusal);
  });
});
