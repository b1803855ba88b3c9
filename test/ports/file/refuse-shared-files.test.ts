import { linkSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { pathText } from '../../../src/files/path-text.ts';
import { refuseSharedFiles } from '../../../src/ports/file/refuse-shared-files.ts';
import { openOutput } from '../../../src/ports/open-output.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('shared-files');
const at = (name: string) => join(folder, name);
writeFileSync(at('song.mid'), 'a song');
linkSync(at('song.mid'), at('hard.mid'));
symlinkSync(at('song.mid'), at('soft.mid'));
symlinkSync('none-yet.txt', at('to-none.txt'));
symlinkSync('round.txt', at('round.txt'));

describe('a source is never written over', () => {
  test.each(['song.mid', 'hard.mid', 'soft.mid', './song.mid'])('also as %s', (name) => {
    const outputs = ['mock', `file:${folder}/${name}`];
    expect(() => refuseSharedFiles({ outputs, sources: [at('other.mid'), at('song.mid')] })).toThrow(
      /it is the file that is read/,
    );
  });
});

describe('two outputs never share a file', () => {
  test.each([
    ['new.txt', './new.txt'],
    ['to-none.txt', 'none-yet.txt'],
    ['hard.mid', 'soft.mid'],
  ])('%s and %s', (a, b) => {
    const [first, second] = [`file:${folder}/${a}`, `file:${folder}/${b}`];
    expect(() => refuseSharedFiles({ outputs: [first, second], sources: [] })).toThrow(
      /it is the same file as/,
    );
    expect(() => refuseSharedFiles({ outputs: [first], record: `${folder}/${b}`, sources: [] })).toThrow(
      /it is the same file as/,
    );
  });

  test('files of their own, devices and what cannot be reached are no concern of it', () => {
    const outputs = [at('a.txt'), at('b.txt'), '/dev/null', '/dev/null', at('round.txt'), at('round.txt')];
    const specs = outputs.map((path) => `file:${path}`);
    expect(() =>
      refuseSharedFiles({ outputs: specs, record: at('c.txt'), sources: [at('song.mid')] }),
    ).not.toThrow();
  });
});

describe('a file port', () => {
  test('writes over a file only with consent', async () => {
    await expect(openOutput(`file:${at('song.mid')}`)).rejects.toThrow(
      new RegExp(`^${at('song.mid')}: there is a file of this name; choose another, or add --replace$`),
    );
    (await openOutput(`file:${at('song.mid')}`, { replace: true })).close();
  });

  test('needs none for a new file, an empty one or a device', async () => {
    (await openOutput(`file:${at('new-file.txt')}`)).close();
    writeFileSync(at('empty.txt'), '');
    (await openOutput(`file:${at('empty.txt')}`)).close();
    (await openOutput('file:/dev/null')).close();
  });
});

test('a name that is not UTF-8 is known as the same file too', async () => {
  const name = Buffer.concat([Buffer.from(`${folder}/`), Buffer.of(0xfc), Buffer.from('.mid')]);
  writeFileSync(name, 'a song');
  linkSync(name, at('other-name.mid'));
  const path = pathText(name);
  expect(() => refuseSharedFiles({ outputs: [`file:${at('other-name.mid')}`], sources: [path] })).toThrow(
    /it is the file that is read/,
  );
  await expect(openOutput(`file:${path}`)).rejects.toThrow(/there is a file of this name/);
});
