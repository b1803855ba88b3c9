import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync } from 'node:fs';
import { expect, test } from 'vitest';
import { lineBytesPerSecond } from '../../../src/screen/terminal/line-speed.ts';
import { hasSocat, PtyPair } from '../../support/pty-pair.ts';

test.skipIf(!hasSocat)('the speed that a terminal was set to; none of what is no terminal', async () => {
  const pair = await PtyPair.plugged();
  const fd = openSync(pair.near, constants.O_RDWR | constants.O_NOCTTY);
  try {
    for (const baud of [9600, 1200]) {
      execFileSync('stty', ['-F', pair.near, String(baud)]);
      expect(await lineBytesPerSecond(fd)).toBe(baud / 12);
    }
  } finally {
    closeSync(fd);
    await pair.remove();
  }
  const nowhere = openSync('/dev/null', constants.O_RDONLY);
  expect(await lineBytesPerSecond(nowhere)).toBeUndefined();
  closeSync(nowhere);
});
