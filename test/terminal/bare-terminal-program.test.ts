import { spawnSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { runInPty } from '../support/pty-run.ts';
import { ROOT, WIREPIT } from '../support/run-wirepit.ts';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

// How soon a key shows on such a line is a law of the pace: test/screen/terminal/frame-pace.test.ts.

/** A board's serial console: no UTF-8, no colours, 9,600 baud with ten bits a byte. */
const CONSOLE = { TERM: 'vt100', LC_ALL: 'C' };
const CONSOLE_BYTES = 960;
/** Such a line is slow, and a busy machine slower. */
const SLOW_MILLIS = 40_000;

it('a terminal that cannot be drawn on: words, the keys of the screen, and not one control sequence', async () => {
  const pieces: Uint8Array[] = [];
  const environment = { TERM: 'dumb', LC_ALL: 'C' };
  const run = startProgram([], { environment, rows: 50, onOutput: (bytes) => pieces.push(bytes) });
  await run.untilText('TERM=dumb: told in words');
  await run.wire.until((wire) => wire.sounding > 0, 'music');
  run.send('m');
  await run.untilText(/muted/);
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
  expect(run.wire.reader.sounding).toBe(0);
  expect(Buffer.concat(pieces).toString('latin1')).toMatch(/^[\r\n\x20-\x7e]*$/);
});

it('a table for a terminal of ASCII alone is ASCII, though nobody asked', async () => {
  const pieces: Uint8Array[] = [];
  const run = runInPty(process.execPath, [WIREPIT, 'check', 'songs'], {
    directory: ROOT,
    environment: CONSOLE,
    onOutput: (bytes) => pieces.push(bytes),
  });
  await run.untilText(/songs: \d+ fit/);
  await run.untilExit();
  await run.close();
  expect(Buffer.concat(pieces).toString('latin1')).toMatch(/^[\r\n\x20-\x7e]*$/);
});

it('9,600 baud: sixteen busy lanes are shown and keys come through', async () => {
  const run = startProgram(['--from', '61'], {
    environment: CONSOLE,
    bytesPerSecond: CONSOLE_BYTES,
    song: `${ROOT}songs/lamplight-parade.mid`,
  });
  await run.untilText(/playing +\d+:/, SLOW_MILLIS);
  for (const [key, shows] of [
    ['m', /^> 1M/m],
    [' ', /paused/],
  ] as const) {
    run.send(key);
    await run.untilText(shows, SLOW_MILLIS);
  }
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
  expect(run.wire.reader.sounding).toBe(0);
});

const hasTmux = spawnSync('tmux', ['-V']).status === 0;

it.skipIf(!hasTmux)('inside a terminal multiplexer (TERM=screen), colours and keys and all', async () => {
  const program = `env TERM=screen LC_ALL=C.UTF-8 ${process.execPath} ${WIREPIT} ${ROOT}songs/tide-study.mid`;
  const socket = `wirepit-test-${process.pid}`;
  const run = runInPty('tmux', ['-u', '-L', socket, '-f', '/dev/null', 'new-session', program]);
  try {
    await run.untilText(/▶ playing +\d+:/);
    await run.untilText(/^▸ 1 +\S/m);
    run.send('m');
    await run.untilText(/^▸ 1M/m);
    run.send('?');
    await run.untilText('silence everything');
    run.send('q');
    await run.untilExit();
  } finally {
    spawnSync('tmux', ['-L', socket, 'kill-server']);
    await run.close();
  }
});
