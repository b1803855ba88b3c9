import { constants } from 'node:os';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { installWaysOut, type WaysOutOptions } from '../../../src/engine/watch/ways-out.ts';

const FAULTS = ['uncaughtException', 'unhandledRejection'] as const;

/** The runner listens for faults as well, and would call them its own. */
let others: (readonly [string, NodeJS.UncaughtExceptionListener[]])[];
beforeEach(() => {
  others = FAULTS.map((fault) => [fault, process.listeners(fault as 'uncaughtException')] as const);
  for (const fault of FAULTS) process.removeAllListeners(fault);
});
afterEach(() => {
  for (const [fault, listeners] of others) {
    process.removeAllListeners(fault);
    for (const listener of listeners) process.on(fault, listener as () => void);
  }
});

/** Leaves by what `cause` does, and says what happened until a little after the exit. */
async function leaves(cause: () => void, more: Partial<WaysOutOptions> = {}): Promise<unknown[]> {
  const said: unknown[] = [];
  const exited = new Promise<void>((resolve) => {
    const remove = installWaysOut({
      restore: () => void said.push('restored'),
      quit: async () => void said.push('silence'),
      report: (error) => void said.push(error),
      ...more,
      exit: (code) => {
        said.push(code);
        remove();
        resolve();
      },
    });
  });
  cause();
  await exited;
  await new Promise((resolve) => setTimeout(resolve, 20));
  return said;
}

const writing = (code: string, syscall = 'write') => Object.assign(new Error(code), { code, syscall });
const thrown = (error: unknown) => () => void process.emit('uncaughtException', error as Error);
const FAULT = new Error('ours');

describe('a fault of ours', () => {
  test.each(FAULTS)('%s: the terminal, the report, the silence, then 70', async (fault) => {
    const emit = process.emit.bind(process) as (event: string, error: unknown) => boolean;
    const said = await leaves(() => void emit(fault, FAULT));
    expect(said).toEqual(['restored', FAULT, 'restored', 'silence', 70]);
  });

  test.each([
    ['a pipe that nobody reads', writing('EPIPE'), 128 + constants.signals.SIGPIPE],
    ['a terminal that is gone', writing('EIO'), 128 + constants.signals.SIGHUP],
  ])('is not %s: no report, and the code of the signal', async (_, error, code) => {
    expect(await leaves(thrown(error))).toEqual(['restored', 'silence', code]);
  });

  test.each([writing('EPIPE', 'read'), writing('ENOSPC'), undefined, null, 'a word'])(
    'is %s',
    async (error) => {
      expect((await leaves(thrown(error))).at(-1)).toBe(70);
    },
  );

  test('and more of them while leaving change nothing', async () => {
    const said = await leaves(() => {
      for (const error of [FAULT, new Error('second'), writing('EPIPE')]) thrown(error)();
      process.kill(process.pid, 'SIGTERM');
    });
    expect(said.filter((word) => word !== 'restored')).toEqual([FAULT, 'silence', 70]);
  });
});

describe('nothing stands between us and the way out', () => {
  const fails = () => {
    throw new Error('gone as well');
  };
  test.each<[string, Partial<WaysOutOptions>]>([
    ['a terminal that cannot be given back', { restore: fails }],
    ['a report that cannot be written', { report: fails }],
    ['a silence that fails', { quit: async () => fails() }],
    ['a silence without end', { quit: () => new Promise(() => {}), limitMs: 30 }],
  ])('%s', async (_, more) => {
    const said = await leaves(thrown(FAULT), more);
    expect(said.at(-1)).toBe(70);
  });

  test('whoever takes the handlers away leaves none', () => {
    const count = () => ['SIGTERM', 'SIGUSR2', ...FAULTS].map((name) => process.listenerCount(name));
    const before = count();
    const remove = installWaysOut({ quit: async () => {}, exit: () => {} });
    expect(count()).toEqual(before.map((listeners) => listeners + 1));
    remove();
    expect(count()).toEqual(before);
  });
});
