import { describe, expect, test } from 'vitest';
import { keyInWait } from '../../../src/cli/show/key-in-wait.ts';
import { InputListeners } from '../../../src/screen/terminal/input-listeners.ts';
import type { Key } from '../../../src/screen/terminal/key.ts';

function wait(isVisitor: boolean) {
  const inputs = new InputListeners();
  const key = keyInWait(inputs, isVisitor);
  const press = (...names: string[]): void => {
    for (const name of names) inputs.take({ kind: 'key', key: { name } as Key });
  };
  const answer = () => Promise.race([key.pressed, Promise.resolve('nothing')]);
  return { press, answer };
}

describe('a key between two songs', () => {
  test.each([
    ['space', 'ended'],
    ['enter', 'ended'],
    ['N', 'next'],
    ['P', 'previous'],
    ['q', 'quit'],
    ['ctrl-c', 'quit'],
    ['m', 'nothing'],
  ])('%s: %s', async (name, leave) => {
    const { press, answer } = wait(false);
    press(name);
    expect(await answer()).toBe(leave);
  });

  test.each([
    ['N', 'nothing'],
    ['q', 'nothing'],
    ['ctrl-c', 'nothing'],
    ['space', 'ended'],
  ])('from a visitor, %s: %s', async (name, leave) => {
    const { press, answer } = wait(true);
    press(name);
    expect(await answer()).toBe(leave);
  });

  test('ctrl-c twice ends the show, also where visitors are at the keys', async () => {
    const { press, answer } = wait(true);
    press('ctrl-c', 'ctrl-c');
    expect(await answer()).toBe('quit');
  });
});
