import { expect, test } from 'vitest';
import { startProgress } from '../../../src/cli/check/check-progress.ts';

function stream(isTTY: boolean) {
  const written: string[] = [];
  const fake = { isTTY, write: (text: string) => written.push(text) > 0 } as unknown as NodeJS.WriteStream;
  return { fake, written };
}

test('on a terminal the bar grows on one line and is wiped at the end', () => {
  const { fake, written } = stream(true);
  const progress = startProgress(4, fake, false);
  for (let i = 0; i < 4; i++) progress.step();
  progress.end();
  expect(written[0]).toBe(`\r${'█'.repeat(8)}${'░'.repeat(22)} 1 of 4 songs`);
  expect(written.at(-2)).toBe(`\r${'█'.repeat(30)} 4 of 4 songs`);
  expect(written.at(-1)).toBe(`\r${' '.repeat(written.at(-2)!.length - 1)}\r`);
});

test('in ASCII when asked', () => {
  const { fake, written } = stream(true);
  startProgress(2, fake, true).step();
  expect(written).toEqual([`\r${'#'.repeat(15)}${'-'.repeat(15)} 1 of 2 songs`]);
});

test('nothing where there is no terminal, and none for a single song', () => {
  for (const [isTTY, total] of [
    [false, 9],
    [true, 1],
  ] as const) {
    const { fake, written } = stream(isTTY);
    const progress = startProgress(total, fake, false);
    progress.step();
    progress.end();
    expect(written).toEqual([]);
  }
});
