import { constants } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { childOf } from '../support/pty-run.ts';
import { ROOT } from '../support/run-wirepit.ts';
import { expectGivenBack, SETTINGS_SHELL } from './given-back.ts';
import { type ProgramRun, preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP', 'SIGQUIT'] as const;
const SIZES = [
  [80, 24],
  [120, 40],
  [40, 12],
] as const;
type Way = readonly [name: string, leave: (run: ProgramRun, pid: number) => void, code: number];
const WAYS_OUT = [
  ['the key for it', (run) => run.send('q'), 0] satisfies Way,
  ['ctrl-c', (run) => run.send('\u0003'), 0] satisfies Way,
  ...SIGNALS.map(
    (signal): Way => [signal, (_, pid) => process.kill(pid, signal), 128 + constants.signals[signal]],
  ),
].map(([name, leave, code], at) => [name, ...SIZES[at % SIZES.length]!, leave, code] as const);

describe('the song is shown playing, no text of it does anything, and every way out silences the wire and gives the terminal back', () => {
  it.each(WAYS_OUT)('%s at %ix%i', async (_, columns, rows, leave, code) => {
    // With the mouse, there is one thing more to give back.
    const run = startProgram(['--mouse'], {
      columns,
      rows,
      // The shell must outlive what ctrl-c and the like do to a process group.
      shell: `trap : INT QUIT; ${SETTINGS_SHELL}`,
    });
    expect(run.text().trim()).toBe('');
    await run.untilText(/Harmless +tide/);
    await run.untilText('▶');
    await run.wire.until((wire) => wire.sounding > 0, 'sounding');
    expect(run.terminal.isAlternateScreen).toBe(true);
    expect(run.terminal.mouseTracking).toBe('vt200');
    expect(run.terminal.scrolledRows()).toBe(0);
    expect(run.text().split('\n')).toHaveLength(rows);
    leave(run, childOf(run.pid));
    const left = await expectGivenBack(run, code);
    // Nothing but what the shell says.
    expect(left.trim()).toMatch(/^code \d+\s+same settings$/);
    expect(run.terminal.systemCommands).toEqual([]);
    expect(run.terminal.mouseTracking).toBe('none');
    const wire = await run.wire.until(({ sounding }) => sounding === 0, 'silence');
    expect(wire.noteOns.length).toBeGreaterThan(0);
    expect(wire.faults).toEqual([]);
  });

  // 16 × 5 bytes after the note-offs: more than the 20 ms of wire that a port is given ahead.
  it('the silence of sixteen channels is sent to its end', async () => {
    let shown = '';
    const run = startProgram(['--from', '30'], {
      song: join(ROOT, 'songs/lamplight-parade.mid'),
      onOutput: (bytes) => {
        shown += Buffer.from(bytes).toString('latin1');
      },
    });
    await run.untilText('▶');
    await run.wire.until((wire) => wire.sounding > 0, 'sounding');
    run.send('q');
    expect((await run.untilExit()).code).toBe(0);
    await run.until((text) => text.trim() === '', 'the terminal given back');
    // Without --mouse the terminal is not asked for it.
    expect(shown).not.toMatch(/\?100[0-6]/);
    const ended = (said: ReadonlyMap<string, number>): string[] =>
      [...said.keys()].filter((what) => /:cc12[03]$/.test(what));
    await run.wire.until(({ said }) => ended(said).length === 32, '123 and 120 on sixteen channels');
  });

  it('a line that drops', async () => {
    const run = startProgram();
    await run.untilText('▶');
    await run.wire.until((wire) => wire.sounding > 0, 'sounding');
    run.hangUp();
    const { code, signal } = await run.untilExit();
    expect({ code, signal }).toEqual({ code: 128 + constants.signals.SIGHUP, signal: 0 });
    await run.wire.until((wire) => wire.sounding === 0, 'silence');
  });
});
