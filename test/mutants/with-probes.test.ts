import { transformSync } from 'esbuild';
import { expect, test } from 'vitest';
import { mutationsOf } from './mutations-of.ts';
import { REACHED, withProbes } from './with-probes.ts';

/** The words of the mutants whose place was reached when the function was called with each value. */
function reached(source: string, ...values: readonly unknown[]): string[] {
  const mutations = mutationsOf(source, false);
  const probed = withProbes(
    source,
    mutations.map(({ site }, number) => ({ site, number })),
  );
  const numbers = new Set<number>();
  const run = new Function('value', `globalThis`, transformSync(probed, { loader: 'ts' }).code);
  for (const value of values) run(value, { [REACHED]: (number: number) => numbers.add(number) });
  return [...numbers].map((number) => mutations[number]!.words).sort();
}

const BRANCHES = 'if (value > 2 && !value.x) value += 3;';

test('a place tells when it is evaluated, and not when its branch is not taken', () => {
  expect(reached(BRANCHES, 1)).toEqual([
    'if (value > 2 && !value.x → if (false',
    'if (value > 2 && !value.x → if (true',
    'value > 2 && !value.x → value > 2 || !value.x',
    'value > 2 → value > (2 + 1)',
    'value > 2 → value >= 2',
  ]);
  expect(reached(BRANCHES, 5).length).toBe(mutationsOf(BRANCHES, false).length);
});

test('every kind of place runs as before', () => {
  const source = `const twice = (n: number) => n * 2;
    const rows = { 1: [twice(3)! + 1], flag: true };
    for (let n = 0; n < 3; n += 1) {
      switch (n) {
        case 1: continue;
        case 2: break;
      }
      let other = n;
      rows[1].push(other++ ? -n : +n);
    }
    while (rows[1].length < 5) rows[1].push(1);
    value.rows = rows;`;
  const words = mutationsOf(source, false).map((mutation) => mutation.words);
  const value: { rows?: unknown } = {};
  expect(reached(source, value)).toEqual(words.sort());
  const plain: { rows?: unknown } = {};
  new Function('value', transformSync(source, { loader: 'ts' }).code)(plain);
  expect(value).toEqual(plain);
});
