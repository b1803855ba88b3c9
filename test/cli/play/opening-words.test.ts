import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { PlayIntent } from '../../../src/cli/play/intend-play.ts';
import { openingWords } from '../../../src/cli/play/opening-words.ts';
import { answerOf } from '../../support/command-line.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const clean = {
  loaded: { song: { findings: [] }, timeline: { findings: [] } },
  flags: { port: [] },
  settings: {},
  outputs: [],
} as unknown as PlayIntent;

test('the mock wire tells how a serial port is written where none is here', () => {
  expect(openingWords(clean, tempFolder('no-uart'))).toEqual([
    'on the mock wire: for a real one --port serial:<device> (see wirepit ports)',
  ]);
});

test('the mock wire names the serial device that is here', () => {
  const root = tempFolder('uart');
  mkdirSync(join(root, 'sys/class/tty/ttyUSB0/device'), { recursive: true });
  mkdirSync(join(root, 'dev'));
  writeFileSync(join(root, 'dev/ttyUSB0'), '');
  expect(openingWords(clean, root)).toEqual([
    'on the mock wire: for a real one --port serial:/dev/ttyUSB0 (see wirepit ports)',
  ]);
});

test('what a fit made of the song, and which instrument it is for, are said at the beginning', async () => {
  const fitted = {
    ...clean,
    loaded: { ...clean.loaded, changed: 'fitted to Eight: loss 9.00 % as written, 2.00 % now' },
    flags: { port: ['serial:x'] },
    outputs: [{ port: 'serial:x', instrument: { name: 'Eight' } }],
  } as unknown as PlayIntent;
  expect(openingWords(fitted)).toEqual(['fitted to Eight: loss 9.00 % as written, 2.00 % now', 'for Eight']);
  const { stderr } = await answerOf([
    ...['play', 'songs/night-ferry.mid', '--headless', '--clock', 'virtual'],
    ...['--instrument', 'lindwurm-eight', '--fit'],
  ]);
  expect(stderr).toMatch(/^fit[^\n]*Lindwurm Eight[^\n]*\nfor Lindwurm Eight\n/);
});

test('play --help names a port of our own under --port', async () => {
  const { code, stdout } = await answerOf(['play', '--help']);
  expect(code).toBe(0);
  expect(stdout.slice(stdout.indexOf('--port'), stdout.indexOf('--map'))).toContain('virtual:');
});
