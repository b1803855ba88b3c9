import { spawnSync } from 'node:child_process';
import { mkdirSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { LARGEST_SONG_BYTES, openSongFile } from '../../src/files/open-song.ts';
import { Refusal } from '../../src/trouble/refusal.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { FORMAT_0 } from '../support/worked-examples.ts';

const folder = tempFolder('open-song');

function refusalOf(path: string): Refusal {
  try {
    openSongFile(path);
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error(`${path} was not refused`);
}

describe('opening a song file', () => {
  it('gives its bytes, in memory of their own', () => {
    const path = join(folder, 'song.mid');
    writeFileSync(path, FORMAT_0);
    const { bytes } = openSongFile(path);
    expect(bytes).toEqual(FORMAT_0);
    expect(bytes.buffer.byteLength).toBe(FORMAT_0.length);
  });

  it.each([
    ['nothing there', 'absent.mid', /no such file/, () => {}],
    ['a folder', 'folder.mid', /folder/, (path: string) => mkdirSync(path)],
    ['an empty file', 'empty.mid', /empty/, (path: string) => writeFileSync(path, '')],
    ['a path through a file', 'plain/x.mid', /not a folder/, () => writeFileSync(join(folder, 'plain'), 'x')],
    ['links in a circle', 'circle.mid', /circle/, (path: string) => symlinkSync(path, path)],
    // Opening a FIFO that nobody writes to would wait for ever.
    ['a FIFO', 'fifo.mid', /regular/, (path: string) => spawnSync('mkfifo', [path])],
  ])('refuses %s', (_, name, what, make) => {
    const path = join(folder, name);
    make(path);
    const refusal = refusalOf(path);
    expect(refusal.what).toMatch(what);
    expect(refusal.where).toBe(path);
    expect(refusal.nextStep).not.toBe('');
    expect(refusal.message).not.toContain('\n');
  });

  it('refuses a device that never ends', () => {
    expect(refusalOf('/dev/zero').what).toMatch(/regular/);
  });

  it('refuses 200 MB of zeros without reading them', () => {
    const path = join(folder, 'zeros.mid');
    writeFileSync(path, '');
    truncateSync(path, 200 * 1024 * 1024);
    expect(refusalOf(path).what).toBe('the file has 200 MB, and a song has at most 64');
  });

  it('takes a file of the largest size allowed', () => {
    const path = join(folder, 'largest.mid');
    writeFileSync(path, '');
    truncateSync(path, LARGEST_SONG_BYTES);
    expect(openSongFile(path).bytes.length).toBe(LARGEST_SONG_BYTES);
  });

  // Root may read everything, so there this cannot be shown.
  it.skipIf(process.getuid?.() === 0)('refuses a file without permission', () => {
    const path = join(folder, 'locked.mid');
    writeFileSync(path, FORMAT_0, { mode: 0o000 });
    expect(refusalOf(path).what).toMatch(/permission/);
  });
});

it('an empty path, as from a shell variable that is not set, is seen in the message', () => {
  expect(() => openSongFile('')).toThrow("'': no such file; check the path");
});
