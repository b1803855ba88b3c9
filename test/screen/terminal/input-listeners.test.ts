import { expect, test } from 'vitest';
import { InputListeners } from '../../../src/screen/terminal/input-listeners.ts';
import { keyNamed } from '../../../src/screen/terminal/key.ts';

const key = (name: string) => ({ kind: 'key', key: keyNamed(name) }) as const;

test('what is typed before anyone listens goes to the first who does, in order, once', () => {
  const inputs = new InputListeners();
  inputs.take(key('4'));
  inputs.take({ kind: 'paste', text: 'some words' });
  inputs.take(key('g'));
  const heard: string[] = [];
  const later: string[] = [];
  inputs.listen({ key: ({ name }) => heard.push(name), paste: (text) => heard.push(`[${text}]`) });
  inputs.listen({ key: ({ name }) => later.push(name) });
  expect(heard).toEqual(['4', '[some words]', 'g']);
  inputs.take(key('q'));
  expect(heard).toEqual(['4', '[some words]', 'g', 'q']);
  expect(later).toEqual(['q']);
});

test('who has stopped listening hears nothing more', () => {
  const inputs = new InputListeners();
  const heard: string[] = [];
  const stop = inputs.listen({ key: ({ name }) => heard.push(name) });
  inputs.take(key('a'));
  stop();
  inputs.take(key('b'));
  expect(heard).toEqual(['a']);
});

test('a cat on the keyboard of a program that never listens costs nothing', () => {
  const inputs = new InputListeners();
  for (let press = 0; press < 1000; press++) inputs.take(key('x'));
  let heard = 0;
  inputs.listen({ key: () => heard++ });
  expect(heard).toBe(64);
});
