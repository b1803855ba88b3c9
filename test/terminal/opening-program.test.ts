import { describe, expect, it } from 'vitest';
import { childOf } from '../support/pty-run.ts';
import { expectGivenBack, SETTINGS_SHELL } from './given-back.ts';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

describe('while the program starts', () => {
  it('the first thing on the screen is the whole of it', async () => {
    const run = startProgram();
    const first = await run.until((text) => text.trim() !== '', 'a first frame');
    expect(first).toMatch(/Harmless +tide/);
    expect(first).toMatch(/^ wire /m);
    expect(first).toMatch(/q quit/);
    await run.untilText('▶');
  });

  it('keys typed from the first moment on are obeyed as soon as they can be', async () => {
    const run = startProgram(['--from', '2']);
    run.send('9c');
    run.send(' ');
    await run.untilText('‖ paused');
    await run.untilText(/^▸ 9/m);
  });

  // From the first byte on the terminal through the loading of Ink to the first notes.
  it.each(
    Array.from({ length: 6 }, (_, step) => [step % 2 === 0 ? 'SIGTERM' : 'SIGHUP', step * 84] as const),
  )(
    '%s %i ms after the terminal was taken gives it back and leaves nothing sounding',
    async (signal, wait) => {
      const run = startProgram([], { shell: SETTINGS_SHELL });
      while (!run.terminal.isAlternateScreen) await new Promise((done) => setTimeout(done, 1));
      await new Promise((done) => setTimeout(done, wait));
      process.kill(childOf(run.pid), signal);
      await expectGivenBack(run, signal === 'SIGTERM' ? 143 : 129);
      expect(run.wire.reader.sounding).toBe(0);
    },
  );
});
