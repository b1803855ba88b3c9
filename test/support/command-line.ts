import { vi } from 'vitest';
import { wirepitProgram } from '../../src/cli/program.ts';
import { troubleOf } from '../../src/cli/trouble.ts';
import type { Ran } from './run-wirepit.ts';

/**
 * What a command line answers, told in this process, which takes a tenth of the work of a start. It does what
 * `src/cli/wirepit.ts` does around the same call; that the built program does it too, its own tests show.
 */
export async function answerOf(args: readonly string[]): Promise<Ran> {
  const said = { stdout: '', stderr: '' };
  const hear = (stream: 'stdout' | 'stderr') =>
    vi.spyOn(process[stream], 'write').mockImplementation((chunk, ...rest: unknown[]) => {
      said[stream] += chunk;
      const done = rest.at(-1);
      if (typeof done === 'function') done();
      return true;
    });
  const spies = [hear('stdout'), hear('stderr')];
  const before = process.exitCode;
  process.exitCode = undefined;
  try {
    await wirepitProgram().parseAsync(args, { from: 'user' });
  } catch (error) {
    const { line, exitCode } = troubleOf(error, false);
    if (line !== '') process.stderr.write(`${line}\n`);
    process.exitCode = exitCode;
  } finally {
    for (const spy of spies) spy.mockRestore();
  }
  const code = Number(process.exitCode ?? 0);
  process.exitCode = before;
  return { code, ...said };
}
