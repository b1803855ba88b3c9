import { constants } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { childOf } from '../support/pty-run.ts';
import { ROOT } from '../support/run-wirepit.ts';
import { expectGivenBack, SETTINGS_SHELL } from './given-back.ts';
import { type ProgramRun, preparePrograms, startProgram } from './program-run.ts';

vi.setConfig({ testTimeout: 60_000 }); // programs start slowly on a busy machine
preparePrograms();

describe('the program in a terminal', () => {
  it.each([
    [80, 24],
    [120, 40],
    [40, 12],
  ])('shows the song playing at %ix%i, and no text of the song does anything', async (columns, rows) => {
    const run = startProgram([], { columns, rows });
    expect(run.text().trim()).toBe('');
    await run.untilText(/Harmless +tide/);
    await run.untilText('▶');
    expect(run.terminal.isAlternateScreen).toBe(true);
    expect(run.terminal.systemCommands).toEqual([]);
    expect(run.terminal.scrolledRows()).toBe(0);
    expect(run.text().split('\n')).toHaveLength(rows);
    run.send('q');
    const exit = await run.untilExit();
    // What was sent last may still be on its way to the screen, which says why, where it was not well.
    if (exit.code === 0) await run.until((text) => text.trim() === '', 'the terminal given back');
    expect({ ...exit, text: run.text().trim() }).toEqual({ code: 0, signal: 0, text: '' });
    expect(run.terminal.systemCommands).toEqual([]);
  });
});

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP', 'SIGQUIT'] as const;
const WAYS_OUT: readonly (readonly [string, (run: ProgramRun, pid: number) => void, number])[] = [
  ['the key for it', (run) => run.send('q'), 0],
  ['ctrl-c', (run) => run.send('\u0003'), 0],
  ...SIGNALS.map(
    (signal) =>
      [
        signal,
        (_: ProgramRun, pid: number) => process.kill(pid, signal),
        128 + constants.signals[signal],
      ] as const,
  ),
];

describe('every way out silences the wire and gives the terminal back', () => {
  it.each(WAYS_OUT)('%s', async (_, leave, code) => {
    // With the mouse, there is one thing more to give back.
    const run = startProgram(['--mouse'], {
      // The shell must outlive what ctrl-c and the like do to a process group.
      shell: `trap : INT QUIT; ${SETTINGS_SHELL}`,
    });
    await run.untilText('▶');
    await run.wire.until((wire) => wire.sounding > 0, 'sounding');
    expect(run.terminal.mouseTracking).toBe('vt200');
    leave(run, childOf(run.pid));
    await expectGivenBack(run, code);
    expect(run.terminal.mouseTracking).toBe('none');
    const wire = await run.wire.until(({ sounding }) => sounding === 0, 'silence');
    expect(wire.noteOns.length).toBeGreaterThan(0);
    expect(wire.faults).toEqual([]);
  });

  // 16 × 5 bytes after the note-offs: more than the 20 ms of wire that a port is given ahead.
  it('the silence of sixteen channels is sent to its end', async () => {
    const run = startProgram(['--from', '30'], { song: join(ROOT, 'songs/lamplight-parade.mid') });
    await run.untilText('▶');
    await run.wire.until((wire) => wire.sounding > 0, 'sounding');
    run.send('q');
    await run.untilExit();
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
