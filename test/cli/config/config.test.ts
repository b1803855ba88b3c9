import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, test } from 'vitest';
import { habitRows } from '../../../src/cli/config/habit-rows.ts';
import type { OptionRow } from '../../../src/cli/options/option-row.ts';
import { OPTION_TABLE } from '../../../src/cli/options/option-table.ts';
import { answerOf } from '../../support/command-line.ts';
import { ROOT, runWirepit } from '../../support/run-wirepit.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('config');
const home = join(folder, 'home');
const file = join(home, 'wirepit', 'config.toml');
const song = join(ROOT, 'songs/night-ferry.mid');
const small = join(ROOT, 'songs/tide-study.mid');
mkdirSync(join(home, 'wirepit'), { recursive: true });

const before = { ...process.env };
beforeEach(() => {
  delete process.env.WIREPIT_CONFIG;
  process.env.XDG_CONFIG_HOME = home;
});
afterEach(() => {
  for (const name of ['WIREPIT_CONFIG', 'XDG_CONFIG_HOME'] as const) {
    if (before[name] === undefined) delete process.env[name];
    else process.env[name] = before[name];
  }
});

const write = (text: string): void => writeFileSync(file, text);

interface Listed {
  readonly file: string | null;
  readonly isRead: boolean;
  readonly options: { name: string; value: unknown; from: string; line: number | null; commands: string[] }[];
}

async function listed(): Promise<Listed> {
  const { code, stdout } = await answerOf(['config', '--json']);
  expect(code).toBe(0);
  return JSON.parse(stdout) as Listed;
}

async function wireOf(...flags: string[]): Promise<{ baud: number; runningStatus: boolean; early: number }> {
  const { stdout } = await answerOf(['check', '--json', song, ...flags]);
  const { wire } = JSON.parse(stdout);
  return wire;
}

test('the tests themselves run without anybody’s settings', () => {
  expect(before.WIREPIT_CONFIG).toBe('off');
});

describe('wirepit config', () => {
  it('lists every habit of the table with its default, where there is no file', async () => {
    process.env.XDG_CONFIG_HOME = join(folder, 'nowhere');
    const { isRead, options } = await listed();
    expect(isRead).toBe(false);
    expect(options.map(({ name }) => name)).toEqual(habitRows().map(({ key }) => key));
    expect(options.every(({ from, line }) => from === 'default' && line === null)).toBe(true);
    const values = Object.fromEntries(options.map(({ name, value }) => [name, value]));
    expect(values).toMatchObject({ port: [], early: 0, 'setup-first': true, ascii: false, thin: null });
  });

  it('tells the line of what the file says, in words and as JSON', async () => {
    write('# mine\nport = "serial:/dev/ttyS0"\n\nearly = 2.5\nsetup-first = false\ncolours = "16"\n');
    const { options } = await listed();
    const said = options.filter(({ from }) => from === 'file');
    expect(said.map(({ name, value, line }) => [name, value, line])).toEqual([
      ['port', ['serial:/dev/ttyS0'], 2],
      ['early', 2.5, 4],
      ['setup-first', false, 5],
      ['colours', '16', 6],
    ]);
    const { stdout } = await answerOf(['config']);
    expect(stdout).toMatch(/^ {2}port +"serial:\/dev\/ttyS0" +line 2$/m);
    expect(stdout).toMatch(/^ {2}stay +false +default$/m);
    for (const line of stdout.split('\n').slice(1)) expect(line.length, line).toBeLessThanOrEqual(80);
  });

  it('takes the file that WIREPIT_CONFIG names, and none with off', async () => {
    write('early = 2.5\n');
    const other = join(folder, 'other.toml');
    writeFileSync(other, 'early = 1\n');
    process.env.WIREPIT_CONFIG = other;
    expect((await listed()).options.find(({ name }) => name === 'early')).toMatchObject({ value: 1 });
    process.env.WIREPIT_CONFIG = 'off';
    expect(await listed()).toMatchObject({ file: null, isRead: false });
    process.env.WIREPIT_CONFIG = join(folder, 'gone.toml');
    expect((await answerOf(['config'])).stderr).toBe(
      `wirepit: ${folder}/gone.toml: no such file; check the path\n`,
    );
  });
});

describe('what a file may say', () => {
  const MISTAKES: readonly (readonly [text: string, told: string])[] = [
    [
      'tempo = 90',
      '1, tempo: this option is for one run, not for all; take it out, and give it on the command line',
    ],
    [
      'allow-sysex = true',
      '1, allow-sysex: this option is for one run, not for all; take it out, and give it on the command line',
    ],
    ['\nerly = 2', '2, erly: there is no such option; is early meant?'],
    ['volumes = 2', '1, volumes: there is no such option; wirepit config lists those there are'],
    ['jobs = 2', '1, jobs: there is no such option; wirepit config lists those there are'],
    [
      'no-setup-first = true',
      '1, no-setup-first: an option is named here without its no; write setup-first = false',
    ],
    ['early = 101', '1, early: expected a number from 0 to 100; mend this value'],
    ['early = "2"', '1, early: expected a number from 0 to 100; mend this value'],
    ['early = nan', '1, early: expected a number from 0 to 100; mend this value'],
    ['ascii = "yes"', '1, ascii: expected true or false; mend this value'],
    ['plan = "fast"', '1, plan: expected "packed" or "file-order"; mend this value'],
    ['colours = 16', '1, colours: expected "none" or "16" or "256"; mend this value'],
    ['port = ["mock", 1]', '1, port: expected a text in quotes, or a list of them; mend this value'],
    ['instrument = ""', '1, instrument: expected a text in quotes; mend this value'],
    ['early =', '1:8: this is not TOML: invalid value; mend this line'],
  ];
  it.each(MISTAKES)('%j is refused with its line', async (text, told) => {
    write(text);
    for (const command of [['check', song], ['config']]) {
      const { code, stdout, stderr } = await answerOf(command);
      expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
      expect(stderr).toBe(`wirepit: ${file}:${told}\n`);
    }
  });

  it('no caution can be put away for good, and nothing that is of one song', () => {
    const rows: readonly OptionRow[] = OPTION_TABLE;
    const habits = new Set(rows.filter(({ habit }) => habit === true).map(({ name }) => name));
    for (const name of ['allow-sysex', 'replace', 'record', 'from', 'to', 'tempo', 'volume', 'mute', 'json'])
      expect(habits).not.toContain(name);
  });

  it('what takes no habits does not read it: help, ports and completion work beside a broken file', async () => {
    write('early =');
    for (const args of [['--help'], ['check', '--help'], ['completion', 'bash'], ['man']]) {
      expect((await answerOf(args)).code, args.join(' ')).toBe(0);
    }
  });
});

describe('defaults, then the file, then the command line', () => {
  it('check: a value, a switch that is on by default, and both put back for once', async () => {
    write('early = 5\nsetup-first = false\nthin = 2\n');
    const command = async (...flags: string[]) =>
      JSON.parse((await answerOf(['check', '--json', song, ...flags])).stdout).command as string[];
    expect(await command()).toEqual(
      expect.arrayContaining(['--early', '5', '--no-setup-first', '--thin', '2']),
    );
    expect(await command('--early', '1')).toEqual(expect.arrayContaining(['--early', '1']));
    const back = await command('--no-early', '--setup-first', '--no-thin');
    for (const flag of ['--early', '--no-setup-first', '--thin']) expect(back).not.toContain(flag);
  });

  it('check judges for the wire of the usual port, unless one is described', async () => {
    write('port = "serial:/dev/ttyS0@38400"\n');
    expect(await wireOf()).toMatchObject({ baud: 38_400 });
    expect(await wireOf('--baud', '1000')).toMatchObject({ baud: 1000 });
    write('port = ["a=interface:0", "b=serial:/dev/ttyS0"]\n');
    expect(await wireOf()).toMatchObject({ baud: 31_250, runningStatus: false });
  });

  it('play sends to the usual port and check agrees; a port named wins, and the map stays with its ports', async () => {
    const sent = join(folder, 'sent.log');
    write(`port = "a=file:${sent}"\nmap = "1-16=a"\nearly = 3\n`);
    const play = async (...flags: string[]) => {
      const args = [small, '--headless', '--clock', 'virtual', '--json', ...flags];
      const { code, stdout, stderr } = await answerOf(args);
      expect(code, stderr).toBe(0);
      return JSON.parse(stdout);
    };
    const played = await play();
    expect(played.ports[0].port).toBe(`file:${sent}`);
    expect(readFileSync(sent, 'utf8').split('\n').length).toBeGreaterThan(100);
    const checked = JSON.parse((await answerOf(['check', '--json', small])).stdout);
    const gap = checked.wire.packed.worstOnsetLatenessMicros - played.wire.worstOnsetLatenessMicros;
    expect(Math.abs(gap)).toBeLessThan(1000);
    expect((await play('--port', 'mock')).ports[0].port).toBe('mock');
    expect((await play('--no-port')).ports[0].port).toBe('mock');
  });

  it('a usual clock is followed, but beside what it makes no sense with, and not where it is put back', async () => {
    write('follow = "file:/nowhere/clock"\non-clock-loss = "pause"\n');
    const play = (...flags: string[]) => answerOf([small, '--headless', ...flags]);
    const followed = await play();
    expect(followed).toMatchObject({ code: 2 });
    expect(followed.stderr).toContain('file:/nowhere/clock: cannot be read');
    // Something else is refused then, and the clock was not asked for.
    const alone = [
      ['--tempo', '90'],
      ['--count-in', '1'],
      ['--loop', '1:1-2:1'],
      ['--clock', 'virtual'],
      ['--no-follow'],
    ];
    for (const own of alone) {
      const { code, stderr } = await play('--port', 'raw:/nowhere/wire', ...own);
      expect([code, stderr], own.join(' ')).toEqual([2, expect.stringContaining('raw:/nowhere/wire')]);
    }
  });

  it.each([
    ['port = "carrier-pigeon:1"', `port carrier-pigeon:1 (${file}:1): there is no such port`],
    ['early = 1\ninstrument = "no-such-box"', `(${file}:2): `],
  ])('%j is not there: told with the line that names it, as nobody typed it', async (text, told) => {
    write(`${text}\n`);
    for (const args of [
      ['check', small],
      [small, '--headless', '--clock', 'virtual'],
    ]) {
      const { code, stderr } = await answerOf(args);
      expect(code).toBe(2);
      expect(stderr).toContain(told);
      expect(stderr.trim().split('\n')).toHaveLength(1);
    }
  });

  it('the built program reads it too', async () => {
    write('early = 200\n');
    expect((await runWirepit([small, '--headless'])).stderr).toContain(
      'config.toml:1, early: expected a number',
    );
  });

  it('a set’s own ports come before the usual one', async () => {
    const [usual, own] = [join(folder, 'usual.log'), join(folder, 'own.log')];
    write(`port = "file:${usual}"\n`);
    const set = join(folder, 'day.toml');
    const songs = `[[song]]\nfile = "${join(ROOT, 'songs/tide-study.mid')}"\n`;
    writeFileSync(set, `[set]\nports = ["file:${own}"]\n${songs}`);
    const ran = await answerOf(['show', set, '--headless', '--clock', 'virtual', '--json']);
    expect(ran.code, ran.stderr).toBe(0);
    expect(() => readFileSync(usual)).toThrow();
    writeFileSync(set, songs);
    await answerOf(['show', set, '--headless', '--clock', 'virtual', '--json']);
    expect(readFileSync(usual, 'utf8').length).toBeGreaterThan(1000);
  });
});

describe('docs/config.md', () => {
  const text = readFileSync(join(ROOT, 'docs/config.md'), 'utf8');

  it('has an example that is taken', async () => {
    write(/```toml\n([^`]+)```/.exec(text)![1]!);
    const said = (await listed()).options.filter(({ from }) => from === 'file');
    expect(said.map(({ name }) => name).sort()).toEqual([
      'ascii',
      'early',
      'instrument',
      'port',
      'setup-first',
    ]);
  });

  it('explains every field, and no other', async () => {
    write('early = 1\n');
    const { options, ...rest } = await listed();
    const fields = [
      ...Object.keys(rest),
      ...Object.keys(options[0]!).map((name) =>
        name === 'commands' ? 'options[].commands[]' : `options[].${name}`,
      ),
    ];
    const explained = [...text.matchAll(/^\| `([^`]+)` \|/gm)].map(([, name]) => name!);
    expect(explained.sort()).toEqual(fields.sort());
  });
});
