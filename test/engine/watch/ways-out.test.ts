import { constants } from 'node:os';
import { describe, expect, test } from 'vitest';
import { ENDING_SIGNALS, installWaysOut } from '../../../src/engine/watch/ways-out.ts';

/** Signals whose action is to end or abort a process, by signal(7) of the Linux manual; the rest of them below. */
const ENDS = 'ABRT ALRM HUP INT IO PWR QUIT STKFLT TERM USR1 USR2 VTALRM XCPU'.split(' ');

describe('each signal that ends a process and can be caught', () => {
  const signals = ENDS.map((name) => `SIG${name}` as NodeJS.Signals).filter(
    (name) => name in constants.signals,
  );

  test('none is forgotten', () => {
    expect([...ENDING_SIGNALS].sort()).toEqual(signals.sort());
  });

  test.each(signals)('%s: the silence first, then its own exit code', async (signal) => {
    const said: (string | number)[] = [];
    const exited = new Promise<void>((resolve) => {
      const remove = installWaysOut({
        quit: async () => said.push('silence'),
        exit: (code) => {
          said.push(code);
          remove();
          resolve();
        },
      });
    });
    process.kill(process.pid, signal);
    await exited;
    expect(said).toEqual(['silence', 128 + constants.signals[signal]]);
  });
});
