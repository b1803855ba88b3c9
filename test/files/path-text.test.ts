import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { typedArguments } from '../../src/cli/options/typed-arguments.ts';
import { diskPath } from '../../src/files/disk-path.ts';
import { findSongs } from '../../src/files/find-songs.ts';
import { openSongFile } from '../../src/files/open-song.ts';
import { pathText } from '../../src/files/path-text.ts';
import { cleanText } from '../../src/screen/format/text-cleaning.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { FORMAT_0 } from '../support/worked-examples.ts';

const bytesOf = (path: string) => Buffer.from(diskPath(path));

describe('a path as text', () => {
  it('leads back to its bytes, whatever they are', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 40 }), (bytes) => {
        expect([...bytesOf(pathText(bytes))]).toEqual([...bytes]);
      }),
    );
  });
  it('is what it always was where it is UTF-8', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme' }), (text) => {
        expect(pathText(Buffer.from(text))).toBe(text);
        expect(diskPath(text)).toBe(text);
      }),
    );
  });
  it('is shown with a sign for each byte that is no letter', () => {
    expect(cleanText(pathText(Buffer.from('caf\xe9 na\xefve.mid', 'latin1')))).toBe(
      'caf\ufffd na\ufffdve.mid',
    );
  });
});

it('songs of such names, in folders of such names, are found and open', () => {
  const folder = Buffer.from(join(tempFolder('names'), 'm\xe9lodies'), 'latin1');
  mkdirSync(folder);
  const inside = (name: string) => Buffer.concat([folder, Buffer.from(`/${name}`, 'latin1')]);
  for (const name of ['\xe9t\xe9.mid', 'plain.mid', '\xff\xfe.mid']) writeFileSync(inside(name), FORMAT_0);
  const { paths } = findSongs(pathText(folder));
  expect(paths).toHaveLength(3);
  for (const path of paths) expect(openSongFile(path).bytes).toEqual(FORMAT_0);
});

it('what was typed is read from where its bytes are kept', () => {
  const commandLine = Buffer.from('node\0--no-warnings\0dist/wirepit.js\0check\0caf\xe9.mid\0\0', 'latin1');
  const typed = typedArguments(['check', 'caf\ufffd.mid', ''], () => commandLine);
  expect(typed.map((text) => bytesOf(text).toString('latin1'))).toEqual(['check', 'caf\xe9.mid', '']);
  const unread = () => {
    throw new Error('no such file system');
  };
  expect(typedArguments(['caf\ufffd.mid'], unread)).toEqual(['caf\ufffd.mid']);
  expect(typedArguments(['plain.mid'], unread)).toEqual(['plain.mid']);
});
