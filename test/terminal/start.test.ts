import { monitorEventLoopDelay } from 'node:perf_hooks';
import { describe, expect, it } from 'vitest';
import { foreground, PLAIN } from '../../src/screen/cells/cell-grid.ts';
import { prepareCounting, startCounting, startCountingInShell } from './counting-run.ts';
import { expectGivenBack, SETTINGS_SHELL } from './given-back.ts';

prepareCounting();

/** The program waits for answers for 150 ms and more (`keyboard.ts`); these take 60 of themselves. */
const MOST_DELAY_NANOS = 40e6;
const MOST_TRIALS = 8;

describe('a program on the screen', () => {
  it('takes the terminal over, draws, answers keys and gives the terminal back', async () => {
    const run = startCounting();
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

  it('draws live cells only while they move, and not through a dialog', async () => {
    const run = startCounting();
    await run.untilText('still');
    await run.untilQuiet();
    const { received } = run;
    await run.untilQuiet(2000);
    expect(run.received).toBe(received);
    run.send('g');
    await run.untilText('running');
    await run.untilText(/frame [5-9]/);
    run.send('o');
    const covered = await run.untilText('│dialog');
    expect(covered.split('\n')[2]).toMatch(/^fr│dialog {4}│ *$/);
    const before = run.received;
    run.send('o');
    await run.until(
      (text) => !text.includes('dialog') && /frame \d+/.test(text),
      'the screen without the dialog',
    );
    expect(run.received).toBeGreaterThan(before);
    run.send('q');
    await run.untilExit();
    // Twelve a second at most, however fast the machine: looking costs too.
    expect(Number(/looks a second (\d+)/.exec(run.told())?.[1])).toBeLessThan(20);
  });

  it('can be seen before a long computation, where the program asks for it', async () => {
    const run = startCounting(['--busy']);
    await run.untilText('coloured');
    expect(run.told()).not.toContain('no longer busy');
    await run.untilTold(/no longer busy/);
  });

  it.each([
    ['CI is set', { CI: 'true' }],
    ['a screen reader is announced to Ink', { INK_SCREEN_READER: 'true' }],
  ])('draws all the same when %s', async (_, environment) => {
    const run = startCounting(['--running'], { environment, columns: 40, rows: 6 });
    await run.untilText('size 40x6');
    await run.untilText(/frame [5-9]/);
    run.send('k');
    await run.untilText('keys k');
  });

  it.each([
    ['xterm-256color', undefined, foreground(202)],
    ['linux', undefined, foreground(3)],
    ['xterm-256color', '1', PLAIN],
  ])('has the colours of %s with NO_COLOR=%s', async (TERM, NO_COLOR, style) => {
    const run = startCounting([], { environment: { TERM, NO_COLOR } });
    await run.untilText('coloured');
    expect(run.grid().style[4 * 80]).toBe(style);
  });
});

describe('the terminal is as it was', () => {
  it.each([
    ['after the end', (run: { send(text: string): void }) => run.send('q'), 0],
    ['after an error in a component', (run: { send(text: string): void }) => run.send('x'), 1],
    ['after SIGTERM', undefined, 143],
  ])('%s', async (_, leave, code) => {
    const run = startCountingInShell(SETTINGS_SHELL.replace('"$@"', '"$@" 2>/dev/null'));
    await run.untilText('size 80x24');
    if (leave === undefined) process.kill(Number(/pid (\d+)/.exec(run.told())?.[1]), 'SIGTERM');
    else leave(run);
    await expectGivenBack(run, code);
  });

  it('and an answer still on its way does not end up on the command line', async () => {
    for (let trial = 1; ; trial += 1) {
      const delay = monitorEventLoopDelay({ resolution: 5 });
      delay.enable();
      const run = startCountingInShell(
        '"$@"; if read -rs -t 1 -n 1 left; then echo "left over"; else echo "clean line"; fi; sleep 60',
        { answerMillis: 60 },
      );
      await run.untilText('size 80x24');
      run.send('g');
      await run.untilText(/frame [5-9]/);
      // Whatever the moment, a question asked within the last 60 ms has its answer still on the way.
      run.send('q');
      const text = await run.untilText(/left over|clean line/);
      delay.disable();
      // An emulator that this machine keeps from answering for longer than anybody waits proves nothing.
      if (text.includes('left over') && delay.max > MOST_DELAY_NANOS && trial < MOST_TRIALS) continue;
      expect(text).toContain('clean line');
      return;
    }
  });
});

describe('when the line drops', () => {
  it('the program is told, goes on, and ends by itself', async () => {
    const run = startCounting(['--running']);
    await run.untilText(/frame [5-9]/);
    run.hangUp();
    expect(await run.untilExit()).toEqual({ code: 3, signal: 0 });
    expect(run.told()).toMatch(/lost (SIGHUP|EIO|end of input)\nstill here\n/);
  });
});
