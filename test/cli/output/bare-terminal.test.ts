import { Command } from 'commander';
import { expect, it, test } from 'vitest';
import {
  asciiText,
  canBeDrawnOn,
  notDrawnOn,
  preferAscii,
  writeWhatItShows,
} from '../../../src/cli/output/bare-terminal.ts';

it.each([
  ['xterm-256color', true],
  ['vt100', true],
  ['linux', true],
  ['screen', true],
  ['dumb', false],
  ['unknown', false],
  ['', false],
  [undefined, false],
])('TERM=%s can be drawn on: %s', (TERM, can) => {
  expect(canBeDrawnOn({ TERM })).toBe(can);
});

test('what is said where it cannot be names the cause and the way out, in one line', () => {
  expect(notDrawnOn({ TERM: 'dumb' })).toMatch(/^TERM=dumb: .*--plain.*TERM=vt100/);
  expect(notDrawnOn({})).toMatch(/^TERM is not set: /);
});

test('text keeps its length, and is ASCII', () => {
  expect(asciiText('plain\n')).toBe('plain\n');
  expect(asciiText('Café – “24 voices” …  ▂▃ 25–400')).toBe('Cafe - "24 voices" ~  ## 25-400');
});

function stream(isTTY: boolean) {
  const written: unknown[] = [];
  const fake = { isTTY, write: (chunk: unknown) => written.push(chunk) > 0 } as unknown as NodeJS.WriteStream;
  return { fake, written };
}

it.each([
  [{ TERM: 'xterm', LC_ALL: 'C' }, true, 'x-'],
  [{ TERM: 'vt220', LANG: 'C.UTF-8' }, true, 'x-'],
  [{ TERM: 'xterm', LANG: 'C.UTF-8' }, true, 'x–'],
  // Its font lacks the blocks, not the letters.
  [{ TERM: 'linux', LANG: 'C.UTF-8' }, true, 'x–'],
  // A pipe is read by a program.
  [{ TERM: 'xterm', LC_ALL: 'C' }, false, 'x–'],
])('%j, a terminal: %s: %s', (environment, isTTY, wanted) => {
  const { fake, written } = stream(isTTY);
  writeWhatItShows([fake], environment);
  fake.write('x–');
  fake.write(Buffer.from('x–'));
  expect(written).toEqual([wanted, Buffer.from('x–')]);
});

test('tables choose signs of ASCII by themselves where the terminal has no others, unless told', () => {
  const command = (...args: string[]) =>
    new Command('check').option('--ascii').option('--no-ascii').parse(args, { from: 'user' });
  const asked = (each: Command, isTerminal: boolean, LC_ALL = 'C') => {
    preferAscii(each, isTerminal, { TERM: 'xterm', LC_ALL });
    return each.opts().ascii;
  };
  expect(asked(command(), true)).toBe(true);
  expect(asked(command('--no-ascii'), true)).toBe(false);
  expect(asked(command(), false)).toBeUndefined();
  expect(asked(command(), true, 'C.UTF-8')).toBeUndefined();
  expect(asked(new Command('ports'), true)).toBeUndefined();
});
