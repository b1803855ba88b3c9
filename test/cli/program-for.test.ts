import { expect, test } from 'vitest';
import { wirepitProgram } from '../../src/cli/program.ts';
import { programFor } from '../../src/cli/program-for.ts';

const whole = wirepitProgram();
const namesOf = (program: typeof whole) => program.commands.map((command) => command.name());

test.each<[string, readonly string[]]>([
  ['play', ['play', 'a.mid']],
  ['play', ['a.mid', '--headless']],
  ['play', ['songs/night-ferry.mid']],
  ['play', []],
  ['show', ['show', 'fair.toml']],
  ['watch', ['watch']],
  ['listen', ['listen', '--from', 'stdin']],
])('%s alone for %j, and it says of itself what it says among the others', async (name, words) => {
  const program = await programFor(words);
  expect(namesOf(program)).toEqual([name]);
  const among = whole.commands.find((command) => command.name() === name)!;
  expect(program.commands[0]!.helpInformation()).toBe(among.helpInformation());
});

test.each([
  ['--help'],
  ['help', 'show'],
  ['check', 'a.mid'],
  ['chek'],
  ['--plan', 'packed', 'a.mid'],
  ['constructor'],
])('all of them for %s', async (...words) => {
  expect(namesOf(await programFor(words))).toEqual(namesOf(whole));
});
