import { PassThrough } from 'node:stream';
import { expect, test } from 'vitest';
import { stageLine } from '../../../src/cli/output/stage-line.ts';

function written(isTTY: boolean): string {
  const stream = Object.assign(new PassThrough(), { isTTY }) as unknown as NodeJS.WriteStream & PassThrough;
  const stage = stageLine(stream);
  stage.say('packing');
  stage.say('writing');
  stage.end();
  return String(stream.read() ?? '');
}

test('on a terminal each stage takes the place of the one before, and nothing is left', () => {
  const wipe = `\r${' '.repeat('packing …'.length)}\r`;
  expect(written(true)).toBe(`\rpacking …${wipe}writing …${wipe}`);
});

test('a log gets none of it', () => {
  expect(written(false)).toBe('');
});
