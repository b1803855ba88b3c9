import { chmodSync, mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { wirepitInShell } from '../../support/wirepit-in-shell.ts';
import { FORMAT_0 } from '../../support/worked-examples.ts';

const folder = tempFolder('paths');
const OF_ROOT = process.getuid?.() === 0;

beforeAll(() => {
  symlinkSync('loop', join(folder, 'loop'));
  writeFileSync(join(folder, 'plain'), FORMAT_0);
  mkdirSync(join(folder, 'shut'));
  chmodSync(join(folder, 'shut'), 0);
});

/** What cannot be reached, and the words for it. */
const OUT_OF_REACH: readonly [what: string, path: string, words: RegExp][] = [
  ['links in a circle', join(folder, 'loop'), /its links lead in a circle/],
  ['a path through them', join(folder, 'loop/song.mid'), /its links lead in a circle/],
  ['a path through a file', join(folder, 'plain/song.mid'), /a part of the path is not a folder/],
  ['a name too long', join(folder, 'a'.repeat(300)), /the path is too long/],
  ['a path too long', `/${'a/'.repeat(5000)}`, /the path is too long/],
  ...(OF_ROOT
    ? []
    : ([['no permission', join(folder, 'shut/song.mid'), /no permission/]] as [string, string, RegExp][])),
];
const COMMANDS: readonly (readonly string[])[] = [
  ['check'],
  ['play', '--headless', '--clock', 'virtual'],
  ['show', '--headless', '--clock', 'virtual'],
];

describe('a path out of reach is refused in one line', () => {
  it.each(OUT_OF_REACH)('%s', async (_, path, words) => {
    for (const command of COMMANDS) {
      const { code, stdout, stderr } = await answerOf([...command, path]);
      expect({ command, code, stdout }).toEqual({ command, code: 2, stdout: '' });
      expect(stderr).toMatch(/^wirepit: [^\n]*; [^\n]*\n$/);
      expect(stderr).toMatch(words);
    }
    const bare = await answerOf([
      '--record',
      join(path, 'take.mid'),
      join(folder, 'plain'),
      ...COMMANDS[1]!.slice(1),
    ]);
    expect(bare.code).toBe(2);
  });
});

it('a file whose name is not UTF-8 is checked and played, named or found', async () => {
  writeFileSync(
    Buffer.concat([Buffer.from(`${folder}/caf`), Buffer.of(0xe9), Buffer.from('.mid')]),
    FORMAT_0,
  );
  const line = `wirepit check "$1"/caf$'\\xe9'.mid --json && wirepit "$1"/caf$'\\xe9'.mid --headless --clock virtual --json \\
    --record "$1"/prise$'\\xe9'.mid && wirepit check "$1" && ls -b "$1"`;
  const { stdout, stderr } = await wirepitInShell(line, folder);
  const [check, play, ...table] = stdout.split('\n');
  expect(JSON.parse(check!).file).toBe(`${folder}/caf\udce9.mid`);
  expect(JSON.parse(play!).sent.noteOns).toBe(4);
  expect(table.join('\n')).toMatch(/^fits .*caf\ufffd\.mid/m);
  expect(stderr).not.toContain('wirepit:');
  expect(stdout).toContain('prise\\351.mid');
});
