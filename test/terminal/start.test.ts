import { afterEach, describe, expect, it } from 'vitest';
import { type PtyRun, runInPty } from '../support/pty-run.ts';

const FIXTURE = 'test/terminal/fixtures/counting-screen.tsx';
const runs: PtyRun[] = [];

function start(args: string[] = [], options: Parameters<typeof runInPty>[2] = {}): PtyRun {
  const run = runInPty(process.execPath, ['--import', 'tsx', FIXTURE, ...args], options);
  runs.push(run);
  return run;
}

afterEach(async () => {
  for (const run of runs.splice(0)) await run.close();
});

describe('a program on the screen', () => {
  it('takes the terminal over, draws, answers keys and gives the terminal back', async () => {
    const run = start();
    expect(run.text().trim()).toBe('');
    await run.untilText('size 80x24');
    expect(run.terminal.isAlternateScreen).toBe(true);
    expect(run.terminal.isCursorHidden).toBe(true);
    expect(run.terminal.isWrapping).toBe(false);
    expect(run.terminal.isBracketedPaste).toBe(true);
    run.send('a\u001b[A');
    await run.untilText('keys a up');
    run.send('\u001b');
    await run.untilText('keys a up escape');
    run.send('q');
    expect(await run.untilExit()).toEqual({ code: 0, signal: 0 });
    expect(run.terminal.isAlternateScreen).toBe(false);
    expect(run.terminal.isCursorHidden).toBe(false);
    expect(run.terminal.isWrapping).toBe(true);
    expect(run.terminal.isBracketedPaste).toBe(false);
    expect(run.text().trim()).toBe('');
  });
});
