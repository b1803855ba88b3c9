import { expect, test } from 'vitest';
import { WholeNumbers } from '../support/number-tokens.ts';

const whole = new WholeNumbers(['load 46% at 12:34.5', 'channel 46 velocity', '2345.6 kB written']);
const faults = (text: string) => whole.faultsIn(text);

test.each(['load 46%', '46% at 12:34.5', 'channel 46', '46 velocity', '46 veloc…', '2345.6 kB', '2345.6 k…'])(
  '%s may stand on a screen',
  (text) => expect(faults(text)).toEqual([]),
);

test.each([
  ['load 46', 'the head of a number after load'],
  ['load 46 at', 'the head of a number after load'],
  ['load 4%', 'no such number'],
  ['46', 'a share without its sign'],
  ['46 at 12:34.5', 'a share without its sign'],
  ['at 12:34', 'the head of a number after at'],
  ['…345.6 kB', 'not whole behind an ellipsis'],
  ['2345.6 k', 'the head of a unit'],
])('%s: %s', (text, why) => expect(faults(text)).toEqual([expect.stringContaining(why)]));
