import { describe, expect, it } from 'vitest';
import { processState } from '../support/pty-run.ts';
import { type CountingRun, prepareCounting, startJobShell } from './counting-run.ts';

prepareCounting();

const pidOf = (told: string) => Number(/pid (\d+)/.exec(told)?.[1]);

/**
 * Two keys, one after the other: the terminal's answers to what the program asked it were sent before the second, so the
 * program has read them. Stopped before, it would leave them to the shell, in front of the next command.
 */
async function untilAnswersAreRead(run: CountingRun): Promise<void> {
  for (const key of ['c', 'd']) {
    run.send(key);
    await run.untilText(new RegExp(`keys.* ${key}`));
  }
}

async function startJob() {
  const run = startJobShell();
  await run.untilText('prompt>');
  run.send('$COUNT --running\r');
  await run.untilText('size 80x24');
  await run.untilTold(/pid/);
  await untilAnswersAreRead(run);
  return { run, pid: pidOf(run.told()) };
}

describe('job control', () => {
  it('ctrl-z tells, gives the terminal to the shell and stops; fg draws everything again', async () => {
    const { run, pid } = await startJob();
    run.send('k');
    await run.untilText('keys c d k');
    run.send('\u001a');
    await run.untilText(/Stopped/);
    expect(run.terminal.isAlternateScreen).toBe(false);
    expect(run.terminal.isCursorHidden).toBe(false);
    expect(processState(pid)).toBe('T');
    expect(run.told()).toContain('before stop');
    run.send('stty -a | grep -o " -*icanon\\| -*echo "; echo done\r');
    const text = await run.untilText(/^done/m);
    expect(text).toMatch(/^ icanon/m);
    expect(text).toMatch(/^ echo/m);
    run.send('fg\r');
    await run.untilText('size 80x24');
    expect(run.terminal.isAlternateScreen).toBe(true);
    expect(run.text()).not.toContain('prompt>');
    await run.untilTold(/continued/);
    run.send('j');
    await run.untilText('keys c d k ctrl-z j');
    run.send('q');
    await run.untilText('prompt>');
    expect(run.terminal.isAlternateScreen).toBe(false);
  });

  it('SIGTSTP from elsewhere does the same, again and again', async () => {
    const { run, pid } = await startJob();
    for (const key of ['a', 'b']) {
      process.kill(pid, 'SIGTSTP');
      await run.untilText(/Stopped/);
      expect(run.terminal.isAlternateScreen).toBe(false);
      run.send('clear; fg\r');
      await run.until((text) => text.includes('size 80x24') && !text.includes('prompt'), 'the screen again');
      run.send(key);
      await run.untilText(new RegExp(`keys.* ${key}`));
      await untilAnswersAreRead(run);
    }
  });

  it('a stop that cannot be caught leaves no lasting damage', async () => {
    const { run, pid } = await startJob();
    process.kill(pid, 'SIGSTOP');
    await run.untilText(/Stopped/);
    // What the terminal had still to answer is typed to the shell now, as with any program; ctrl-u takes the line back.
    run.send('\u0015fg\r');
    await run.until((text) => text.startsWith('size 80x24') && !text.includes('prompt'), 'the screen again');
    expect(run.terminal.isAlternateScreen).toBe(true);
    run.send('a');
    await run.untilText('keys c d a');
  });

  it('a terminal resized meanwhile is met as it is', async () => {
    const { run } = await startJob();
    run.send('\u001a');
    await run.untilText(/Stopped/);
    run.resize(50, 10);
    run.send('fg\r');
    await run.untilText('size 50x10');
  });
});
