import { PassThrough } from 'node:stream';
import { expect, test } from 'vitest';
import { stageLine } from '../../../src/cli/output/stage-line.ts';

const WIPE = '\r\u001b[2K'; // ECMA-48 EL

function written(isTTY: boolean): string {
  const stream = Object.assign(new PassThrough(), { isTTY }) as unknown as NodeJS.WriteStream & PassThrough;
  const stage = stageLine(stream);
  stage.say('packing');
  stage.say('writing');
  stage.end();
  return String(stream.read() ?? '');
}

test('on a terminal each stage takes the place of the one before, and nothing is left', () => {
  expect(written(true)).toBe(`${WIPE}packing …${WIPE}writing …${WIPE}`);
});

test('a log gets none of it', () => {
  expect(written(false)).toBe('');
});
