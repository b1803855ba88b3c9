import { expect, test } from 'vitest';
import { RemarkLimit } from '../../../src/core/capture/remark-limit.ts';

const SECOND = 1_000_000;

function limited(act: (limit: RemarkLimit) => void): string[] {
  const said: string[] = [];
  act(new RemarkLimit((micros, text) => said.push(`${micros} ${text}`)));
  return said;
}

const many = (limit: RemarkLimit, count: number, from: number, kind = 'noise') => {
  for (let n = 0; n < count; n += 1) limit.remark(from + n, kind, `${kind} ${n}`);
};

test('eight in a second are told, and no word is said of others where there are none', () => {
  const said = limited((limit) => {
    many(limit, 8, 0);
    limit.look(3 * SECOND);
    limit.tellRest();
  });
  expect(said).toEqual(Array.from({ length: 8 }, (_, n) => `${n} noise ${n}`));
});

test('the second begins with its first remark, and the next remark behind it begins another', () => {
  const said = limited((limit) => {
    many(limit, 9, 500);
    limit.look(500 + SECOND - 1);
    limit.remark(500 + SECOND - 1, 'hum', 'hum');
    limit.remark(500 + SECOND, 'hum', 'first of the next');
    many(limit, 7, 600 + SECOND, 'hum');
    many(limit, 1, 700 + SECOND, 'hum');
  });
  expect(said.slice(8)).toEqual([
    `${500 + SECOND - 1} and in the same second: noise (1), hum (1)`,
    `${500 + SECOND} first of the next`,
    ...Array.from({ length: 7 }, (_, n) => `${600 + SECOND + n} hum ${n}`),
  ]);
});

test('the rest is told once the second is over, once, with the time of the last', () => {
  const said = limited((limit) => {
    many(limit, 10, 0);
    limit.look(SECOND);
    limit.look(2 * SECOND);
    limit.tellRest();
  });
  expect(said.slice(8)).toEqual(['9 and in the same second: noise (2)']);
});

test('at the end it is told before the second is over, and counted from anew', () => {
  const said = limited((limit) => {
    many(limit, 9, 0);
    limit.tellRest();
    many(limit, 2, 10, 'hum');
    limit.tellRest();
  });
  expect(said.slice(8)).toEqual([
    '8 and in the same second: noise (1)',
    '11 and in the same second: hum (2)',
  ]);
});
