import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, expect, test } from 'vitest';
import { lineErrorsSince, readLineErrors } from '../../../src/ports/serial/line-errors.ts';
import { tempFolder } from '../../support/temp-folder.ts';

let root: string;
beforeEach(() => {
  root = tempFolder('root');
  for (const folder of ['proc/tty/driver', 'dev/serial/by-id'])
    mkdirSync(join(root, folder), { recursive: true });
  writeFileSync(
    join(root, 'proc/tty/drivers'),
    '/dev/tty  /dev/tty  5  0 system:/dev/tty\nserial  /dev/ttyS  4 64-95 serial\nusbserial  /dev/ttyUSB 188 0-511 serial\n',
  );
});

const counts = (rest: string) =>
  writeFileSync(
    join(root, 'proc/tty/driver/serial'),
    `serinfo:1.0 driver revision:\n0: uart:16550A port:000003F8 irq:4 tx:12 rx:3${rest} RTS|DTR\n1: uart:unknown port:000002F8 irq:3\n`,
  );

test('what a UART’s driver counted in between is told', () => {
  counts(' fe:2 oe:1');
  const before = readLineErrors('serial:/dev/ttyS0@38400', root);
  expect(before).toEqual({ framing: 2, parity: 0, overrun: 1, breaks: 0 });
  counts(' fe:5 pe:1 oe:1 brk:3');
  expect(lineErrorsSince(before as never, 'serial:/dev/ttyS0', root)).toEqual({
    framing: 3,
    parity: 1,
    overrun: 0,
    breaks: 3,
  });
});

test('a lasting name leads to the same device', () => {
  counts(' fe:2');
  symlinkSync('../../ttyS0', join(root, 'dev/serial/by-id/board-if00'));
  expect(readLineErrors('serial:/dev/serial/by-id/board-if00', root)).toMatchObject({ framing: 2 });
});

test.each([
  ['interface:0', /only a serial: input/],
  ['serial:/dev/ttyS1', /keeps no count/],
  ['serial:/dev/ttyUSB0', /only root may read/],
  ['serial:/dev/pts/3', /keeps no count/],
])('%s: why it is not told', (from, why) => {
  counts('');
  expect(readLineErrors(from, root)).toMatch(why);
});
