import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { equivalents } from './equivalents.ts';
import { mutationsOf } from './mutations-of.ts';

const changed = (source: string) =>
  mutationsOf(source, false).map(({ start, end, text }) => source.slice(0, start) + text + source.slice(end));

test('one small change at a time, in values and not in types', () => {
  expect(changed('const a: 3 = b < 2;')).toEqual(['const a: 3 = b <= 2;', 'const a: 3 = b < (2 + 1);']);
  expect(changed('if (a && !b) c += 1;')).toEqual([
    'if (false) c += 1;',
    'if (true) c += 1;',
    'if (a || !b) c += 1;',
    'if (a && b) c += 1;',
    'if (a && !b) ;',
    'if (a && !b) c -= 1;',
    'if (a && !b) c += 0;',
  ]);
  expect(changed("import { x } from 'y';\ntype T = 1 | 2;")).toEqual([]);
});

test('says where, and in which words', () => {
  expect(mutationsOf('\n\nlet a = b\n  + c;', false)).toMatchObject([{ line: 4, words: 'b + c → b - c' }]);
  expect(mutationsOf('class A { #b = 0; }', false)).toMatchObject([{ words: '#b = 0; → #b = (0 + 1);' }]);
  expect(mutationsOf('for (const a of b) if (!a) continue;', false).at(-1)).toMatchObject({
    words: 'if (!a) continue; → if (!a) ;',
  });
});

test('every change that is listed as equivalent is one that can be made, and the words mean no other', () => {
  const wordsIn = new Map<string, string[]>();
  for (const { file } of equivalents()) {
    if (wordsIn.has(file)) continue;
    const source = readFileSync(new URL(`../../${file}`, import.meta.url), 'utf8');
    wordsIn.set(
      file,
      mutationsOf(source, file.endsWith('x')).map((mutation) => mutation.words),
    );
  }
  for (const { file, words, places = 1 } of equivalents()) {
    const meant = wordsIn.get(file)!.filter((one) => one === words);
    expect(meant.length, `${file}: ${words}`).toBe(places);
  }
});
