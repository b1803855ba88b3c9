import { describe, expect, it } from 'vitest';
import { type ProgramRun, preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

/** A press and its release as xterm reports them (SGR mode 1006); cells from 0. */
const press = (x: number, y: number, code = 0) =>
  `\u001b[<${code};${x + 1};${y + 1}M\u001b[<${code};${x + 1};${y + 1}m`;
const WHEEL_DOWN = 65;
const RIGHT = 2;

function rowOf(run: ProgramRun, pattern: RegExp): number {
  return run
    .text()
    .split('\n')
    .findIndex((line) => pattern.test(line));
}

/** That each way out gives the mouse back, and that it is off by default, stands in start-program.test.ts. */
describe('--mouse', () => {
  it('clicks choose, mute, solo and move; the wheel goes through lanes and lists', async () => {
    const run = startProgram(['--mouse']);
    await run.untilText('▶');
    expect(run.terminal.mouseTracking).toBe('vt200');
    const lane = rowOf(run, /^ {2}3 /);
    run.send(press(20, lane));
    await run.untilText(/^▸ 3/m);
    run.send(press(3, lane));
    await run.untilText(/^▸ 3M/m);
    await run.wire.until(
      ({ open }) => [...open].every(([key, count]) => key >> 7 !== 2 || count === 0),
      'a mute',
    );
    run.send(press(3, lane));
    await run.until((text) => !/^▸ 3M/m.test(text), 'no mute');
    run.send(press(3, lane + 1, RIGHT));
    await run.untilText(/^ {2}4S/m);
    run.send(press(3, lane + 1, RIGHT));
    await run.until((text) => !/4S/.test(text), 'no solo');
    run.send(' ');
    await run.untilText('paused');
    // The song lasts two minutes, 60 bars; the bar stands between the two clocks of seven cells.
    run.send(press(7 + 33, rowOf(run, /-\d:\d\d *$/)));
    await run.untilText(/paused +31:/);
    run.send(press(20, 10, WHEEL_DOWN));
    await run.untilText(/^▸ 4/m);
    run.send('?');
    await run.untilText('silence everything');
    run.send(press(20, 10, WHEEL_DOWN));
    run.send(press(20, lane)); // under the help: nothing
    await run.until((text) => !text.includes('silence the stuck note'), 'the help scrolled');
    run.send('\u001b');
    await run.untilText(/^▸ 4/m);
    run.send('q');
    expect((await run.untilExit()).code).toBe(0);
    await run.until(() => run.terminal.mouseTracking === 'none', 'the mouse given back');
  });

  it('the mouse is given back while the job is stopped, and taken again', async () => {
    const run = startProgram(['--mouse'], {
      shell: 'set -m; "$@"; echo stopped; sleep 1; fg >/dev/null; sleep 60',
    });
    await run.untilText('▶');
    run.send('\u001a');
    await run.untilText('stopped');
    expect(run.terminal.mouseTracking).toBe('none');
    await run.until(() => run.terminal.mouseTracking === 'vt200', 'the mouse again');
    run.send('q');
    await run.until(() => run.terminal.mouseTracking === 'none', 'the mouse given back');
  });
});
