import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { lineOfPath } from '../../../src/files/toml/line-of-path.ts';
import { parseToml, readToml } from '../../../src/files/toml/read-toml.ts';
import { Refusal } from '../../../src/trouble/refusal.ts';

const TEXT = `# an invented box
[box]
name = "Bell"
"odd key" = 1
colour.front = "red"

[[shelf]]
height = 3

[[shelf]]
height = 4
[[shelf.cup]]
size = 1
[[shelf.cup]]
size = 2
`;

describe('the line of a path', () => {
  test.each<[(string | number)[], number]>([
    [['box'], 2],
    [['box', 'name'], 3],
    [['box', 'odd key'], 4],
    [['box', 'colour', 'front'], 5],
    [['shelf', 0, 'height'], 8],
    [['shelf', 1, 'height'], 11],
    [['shelf', 1, 'cup', 1, 'size'], 15],
    [['shelf', 1, 'depth'], 10],
    [['box', 'missing'], 2],
    [['elsewhere'], 1],
  ])('%j is line %i', (path, line) => {
    expect(lineOfPath(TEXT, path)).toBe(line);
  });
});

describe('a complaint names file, line, path and next step', () => {
  const schema = z.strictObject({
    box: z.strictObject({ name: z.string(), size: z.int().min(1).optional() }),
  });
  const complaint = (text: string) => {
    try {
      parseToml(text, 'box.toml', schema);
    } catch (error) {
      if (error instanceof Refusal) return error.message;
    }
    return 'none';
  };

  test.each([
    [
      '[box]\nname = "a"\nweight = 3\n',
      'box.toml:3, box.weight: there is no such field; check its spelling, or leave it out',
    ],
    ['[box]\nname = 4\n', 'box.toml:2, box.name: expected string, received number; mend this value'],
    [
      '[box]\nname = "a"\nsize = 0\n',
      'box.toml:3, box.size: too small: expected number to be >=1; mend this value',
    ],
    ['[box]\nname = \n', 'box.toml:2:8: this is not TOML: invalid value; mend this line'],
  ])('%j', (text, wanted) => {
    expect(complaint(text)).toBe(wanted);
  });

  test('a file that is not there, or a folder', () => {
    expect(() => readToml('/nowhere/box.toml', schema)).toThrow(/no such file/);
    expect(() => readToml('/', schema)).toThrow(/a folder/);
  });
});
