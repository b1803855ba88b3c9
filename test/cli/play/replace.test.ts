import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('replace');
const song = songBytes([
  [
    [0, [0x90, 60, 64]],
    [24, [0x80, 60, 64]],
  ],
]);
const [a, b] = [join(folder, 'a.mid'), join(folder, 'b.mid')];
for (const path of [a, b]) writeFileSync(path, song);
const play = (...args: string[]) => answerOf([...args, '--headless', '--clock', 'virtual']);

test('a song of the run is never written over, not even one that comes later and with --replace', async () => {
  for (const port of [`file:${a}`, `file:${folder}/./b.mid`]) {
    const { code, stderr } = await play(a, b, '--port', port, '--replace');
    expect([code, stderr.split('\n')[0]]).toEqual([2, expect.stringMatching(/it is the file that is read/)]);
  }
  expect(readFileSync(a)).toEqual(Buffer.from(song));
  expect(readFileSync(b)).toEqual(Buffer.from(song));
});

test('two ports to one file are refused', async () => {
  const file = join(folder, 'two.txt');
  const { code, stderr } = await play(a, '--port', `x=file:${file}`, '--port', `y=file:${folder}/./two.txt`);
  expect([code, stderr]).toEqual([2, expect.stringMatching(/it is the same file as/)]);
});

test('an older record is kept without --replace, and written over with it', async () => {
  const file = join(folder, 'record.txt');
  writeFileSync(file, 'an older record\n');
  const refused = await play(a, '--port', `file:${file}`);
  expect([refused.code, refused.stderr]).toEqual([2, expect.stringMatching(/there is a file of this name/)]);
  expect(readFileSync(file, 'latin1')).toBe('an older record\n');
  expect((await play(a, '--port', `file:${file}`, '--replace')).code).toBe(0);
  expect(readFileSync(file, 'latin1')).toMatch(/^# wirepit file port 1/);
});

test('listening never writes over what it reads', async () => {
  const dump = join(folder, 'dump.txt');
  const bytes = '0 90 3C 40\n1000 80 3C 40\n';
  writeFileSync(dump, bytes);
  const listen = ['listen', '--from', `file:${dump}`, '--clock', 'virtual', '--replace'];
  const { code, stderr } = await answerOf([...listen, '--thru', `file:${folder}/./dump.txt`]);
  expect([code, stderr]).toEqual([2, expect.stringMatching(/it is the file that is read/)]);
  expect(readFileSync(dump, 'latin1')).toBe(bytes);
});
