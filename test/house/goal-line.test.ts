import { expect, test } from 'vitest';
import { goalLine } from '../bench/goal-line.ts';

test('a goal is met at its target and on the right side of it', () => {
  expect(goalLine({ name: 'peak memory', value: 120, atMost: 120, unit: 'MB' })).toBe(
    'goal peak-memory 120MB <=120MB met',
  );
  expect(goalLine({ name: 'faster', value: 3.987, atLeast: 4, unit: 'x' })).toBe(
    'goal faster 3.99x >=4x missed',
  );
});

test('nothing measured is nothing met', () => {
  expect(goalLine({ name: 'lateness', value: Number.NaN, atMost: 1 })).toBe('goal lateness NaN <=1 missed');
});
