import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { answerOf } from '../support/command-line.ts';
import { runWirepit } from '../support/run-wirepit.ts';
import { tempFolder } from '../support/temp-folder.ts';

/** Every complaint of the parser (commander 14), at every command it can come from: what, where, what next. */
const COMPLAINTS: readonly (readonly [args: string, line: string])[] = [
  ['listen', 'listen: no input is named; name one with --from; `wirepit ports` lists them'],
  ['listen --thru mock', 'listen: no input is named; name one with --from; `wirepit ports` lists them'],
  ['listen --frm stdin', "listen: there is no option '--frm'; is --from meant?"],
  ['listen --from', '--from: its value is missing; write --from <port>; wirepit listen --help tells more'],
  [
    'listen --from stdin again',
    "listen: 'again' is one word too many; wirepit listen --help shows how it is called",
  ],
  ['listen --from stdin --clock fast', "--clock: it cannot be 'fast'; write real or virtual"],
  ['listen --from stdin --mute 17', "--mute: it cannot be '17'; write channels 1 to 16, as in 1-4,10"],
  ['listen --from stdin --seconds -1', "--seconds: it cannot be '-1'; write a number of seconds above 0"],
  ['ports hw', "ports: 'hw' is one word too many; wirepit ports --help shows how it is called"],
  ['ports --jsn', "ports: there is no option '--jsn'; is --json meant?"],
  ['check', 'check: no songs are named; name some; wirepit check --help tells more'],
  [
    'check songs --louder',
    "check: there is no option '--louder'; wirepit check --help lists those there are",
  ],
  ['check songs --voices many', "--voices: it cannot be 'many'; write a whole number from 1 to 1024"],
  ['check songs --baud', '--baud: its value is missing; write --baud <n>; wirepit check --help tells more'],
  ['--qqq', "play: there is no option '--qqq'; wirepit play --help lists those there are"],
  ['songs --jsn', "play: there is no option '--jsn'; is --json meant?"],
  ['play --plan fast songs', "--plan: it cannot be 'fast'; write packed or file-order"],
  ['songs -p', '--port: its value is missing; write --port <port>; wirepit play --help tells more'],
  ['songs --tempo 401', "--tempo: it cannot be '401'; write a number from 25 to 400"],
  ['songs --transpose 1.5', "--transpose: it cannot be '1.5'; write a whole number"],
  [
    'chekc songs',
    'chekc: there is no command, file or folder of that name; wirepit --help lists the commands',
  ],
  ['help nosuch', 'help: there is no command of that name; wirepit --help lists those there are'],
  ['--headless', 'play: no song is named, and without a screen none can be chosen; name a song or a folder'],
];

describe('a command line that cannot be meant is one line on standard error, exit code 2', () => {
  test.each(COMPLAINTS)('wirepit %s', async (args, line) => {
    expect(await answerOf(args.split(' '))).toEqual({ code: 2, stdout: '', stderr: `wirepit: ${line}\n` });
  });

  test.each(['listen --frm stdin', 'check songs --baud', 'chekc songs'])(
    'the built program answers the same: %s',
    async (args) => {
      const line = COMPLAINTS.find(([complained]) => complained === args)![1];
      expect(await runWirepit(args.split(' '))).toEqual({
        code: 2,
        stdout: '',
        stderr: `wirepit: ${line}\n`,
      });
    },
  );

  test('without a song, a screen or a word', async () => {
    const { code, stdout, stderr } = await runWirepit([]);
    expect({ code, stdout, lines: stderr.split('\n').length }).toEqual({ code: 2, stdout: '', lines: 2 });
  });
});

describe('help is no complaint', () => {
  test.each(['--help', 'help', 'help listen', 'listen --help', 'check -h', 'ports --help'])(
    'wirepit %s',
    async (args) => {
      const { code, stdout, stderr } = await answerOf(args.split(' '));
      expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
      expect(stdout).toMatch(/^Usage: wirepit/);
    },
  );

  test('the built program answers the same', async () => {
    const ran = await runWirepit(['help', 'listen']);
    expect(ran).toEqual(await answerOf(['help', 'listen']));
  });
});

describe('a folder of songs', () => {
  const folder = tempFolder('usage');
  const ours = ['night-ferry', 'tide-study'];
  beforeAll(() => {
    for (const name of ours) copyFileSync(`songs/${name}.mid`, join(folder, `${name}.mid`));
  });
  const play = (...args: string[]) => answerOf([folder, '--headless', '--clock', 'virtual', ...args]);

  test.each([
    [['--from', 'nowhere'], "--from: 'nowhere' is no place in this song"],
    [['--from', '9999'], "--from: '9999' is not before the end"],
    [['--loop', '9-3'], '--loop: a loop has no end'],
    [['--port', 'carrier-pigeon:1'], 'port carrier-pigeon:1: there is no such port'],
    [['--port', 'mock', '--map', '1=x'], "--map: no port is called 'x'"],
    [['--record', '/no/such/folder/take.mid'], '/no/such/folder/take'],
  ])('%j, wrong for every song, is told once', async (flags, told) => {
    const { code, stdout, stderr } = await play(...flags);
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    const lines = stderr.split('\n').filter((line) => line.startsWith('wirepit: '));
    expect(lines).toHaveLength(1);
    expect(lines[0]).toContain(told);
  });

  test('wrong for some of them, it is told once, and the end says for which', async () => {
    copyFileSync('songs/night-ferry.mid', join(folder, 'again.mid'));
    copyFileSync('songs/lamplight-parade.mid', join(folder, 'parade.mid'));
    const { code, stderr } = await play('--from', '60', '--port', 'mock');
    const lines = stderr.split('\n').filter((line) => line.startsWith('wirepit: '));
    expect(code).toBe(2);
    expect(lines[0]).toContain("--from: '60' is not before the end");
    expect(lines[1]).toBe(
      'wirepit: 3 of 4 songs were not played, for the same reason: again.mid, night-ferry.mid, tide-study.mid',
    );
    expect(lines).toHaveLength(2);
  });
});
