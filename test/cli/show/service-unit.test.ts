import { spawnSync } from 'node:child_process';
import { realpathSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { serviceUnit, terminalUnit } from '../../../src/cli/show/service-unit.ts';
import { unitTerminal } from '../../../src/cli/show/unit-terminal.ts';
import { answerOf } from '../../support/command-line.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** A command line as systemd takes it apart: quotes, backslashes in them, %% and $$ (systemd.service, "Command lines"). */
function wordsOf(line: string): string[] {
  const words = [...line.matchAll(/"((?:[^"\\]|\\.)*)"|(\S+)/g)];
  return words.map(([, quoted, plain]) =>
    (plain ?? quoted!.replace(/\\(.)/g, '$1')).replaceAll('%%', '%').replaceAll('$$', '$'),
  );
}

/** What a unit says, `section.key`; of a key that stands there twice all values. */
function settingsOf(unit: string): Map<string, string[]> {
  const settings = new Map<string, string[]>();
  let section = '';
  for (const line of unit.split('\n')) {
    section = /^\[(\w+)\]$/.exec(line)?.[1] ?? section;
    const [, key, value] = /^(\w+)=(.*)$/.exec(line) ?? [];
    if (key === undefined) continue;
    const name = `${section}.${key}`;
    settings.set(name, [...(settings.get(name) ?? []), value!]);
  }
  return settings;
}

const startedBy = (unit: string): string[] => wordsOf(settingsOf(unit).get('Service.ExecStart')![0]!);

const HEAD = [process.execPath, realpathSync(process.argv[1]!), 'show'];
const NAMES = ['/home/a/fair.toml', '/srv/our fair/100% $HOME "best".toml', '/a\\b/c;d&e.toml'];
const WISHES = { setPath: '/s.toml', options: [], folder: '/home/a' };
const MONITOR = unitTerminal('tty1', []);

describe('a unit of systemd', () => {
  test('starts the show that was asked for, whatever its names have in them', () => {
    for (const setPath of NAMES) {
      const options = ['--port', 'left=serial:/dev/serial/by-id/usb x', '--map', '1-8=left,9-16=right'];
      const wishes = { ...WISHES, setPath, options };
      expect(startedBy(serviceUnit(wishes))).toEqual([
        ...HEAD,
        ...[setPath, '--headless', '--unattended'],
        ...options,
      ]);
      // With a screen: that is what the terminal is for.
      const onTerminal = startedBy(terminalUnit(wishes, MONITOR, 'a'));
      expect(onTerminal).toEqual([...HEAD, setPath, '--unattended', ...options]);
    }
  });

  test('starts again after a fault, not after the end, and gives the silence its time', () => {
    for (const unit of [serviceUnit(WISHES), terminalUnit(WISHES, MONITOR, 'a')]) {
      expect(unit.split('\n').filter((line) => line.startsWith('['))).toEqual([
        ...['[Unit]', '[Service]', '[Install]'],
      ]);
      const settings = settingsOf(unit);
      expect(settings.get('Service.Restart')).toEqual(['on-failure']);
      // 1: songs were passed over, and the set has been gone through.
      expect(settings.get('Service.SuccessExitStatus')).toEqual(['1']);
      // Every key of every channel, off, at 31,250 baud: 16 · 128 · 3 bytes of 320 µs (MIDI 1.0, p. 1).
      expect(Number(settings.get('Service.TimeoutStopSec')![0])).toBeGreaterThan(16 * 128 * 3 * 320e-6);
      // Files are seen from where the person stood.
      expect(settings.get('Service.WorkingDirectory')).toEqual(['-/home/a']);
    }
  });

  test('of the system: it has the terminal alone, as its user', () => {
    const settings = settingsOf(terminalUnit(WISHES, MONITOR, 'a'));
    expect(settings.get('Unit.Conflicts')).toEqual(['getty@tty1.service']);
    expect(settings.get('Unit.After')).toContain('getty@tty1.service');
    expect(settings.get('Service.User')).toEqual(['a']);
    expect(settings.get('Service.Environment')).toEqual(['TERM=linux']);
    for (const key of ['StandardInput', 'StandardOutput'])
      expect(settings.get(`Service.${key}`)).toEqual(['tty']);
    expect(settings.get('Service.TTYPath')).toEqual(['/dev/tty1']);
    expect(settings.get('Install.WantedBy')).toEqual(['multi-user.target']);
  });

  test('for a serial line: its own login, its device waited for, a terminal without colours', () => {
    const settings = settingsOf(terminalUnit(WISHES, unitTerminal('/dev/ttyAMA0', []), 'a'));
    expect(settings.get('Unit.Conflicts')).toEqual(['serial-getty@ttyAMA0.service']);
    expect(settings.get('Unit.BindsTo')).toEqual(['dev-ttyAMA0.device']);
    expect(settings.get('Service.TTYPath')).toEqual(['/dev/ttyAMA0']);
    expect(settings.get('Service.Environment')).toEqual(['TERM=vt220']);
    expect(settings.has('Service.TTYVTDisallocate')).toBe(false);
  });

  test.each(['tty0', 'tty64', 'console', 'tty1; reboot', 'pts/3', ''])('%j is no terminal', (tty) => {
    expect(() => unitTerminal(tty, [])).toThrow(/no terminal of a machine.*write tty1/);
  });

  test('a line that the music has is refused', () => {
    for (const port of ['serial:/dev/ttyS0', 'left=raw:/dev/ttyS0', 'serial:/dev/ttyS0@38400']) {
      expect(() => unitTerminal('ttyS0', ['--port', port])).toThrow('the music goes through this line');
    }
    expect(unitTerminal('ttyS0', ['--port', 'serial:/dev/ttyS01']).name).toBe('ttyS0');
  });
});

describe('a unit as it is printed', () => {
  const folder = tempFolder('service-unit');
  const set = join(folder, 'our fair.toml');
  writeFileSync(set, '[set]\nports = ["serial:/dev/ttyS3"]\n[[song]]\nfile = "a.mid"\n');

  test('has what was typed, and what systemd is to say itself once', async () => {
    const typed = [
      ...['--port', 'a=serial:/dev/ttyS0', '-p', 'b=mock', '--map', '1-8=a,9-16=b', '--headless'],
      ...['--thru-from', 'interface:1', '--thru-channel', '4', '--settle', '20', '--no-setup-first'],
      ...['--follow', 'serial:/dev/ttyS1', '--on-clock-loss', 'pause', '--again', '--unattended'],
    ];
    const { stdout, code } = await answerOf(['show', set, '--service', ...typed]);
    expect(code).toBe(0);
    const words = startedBy(stdout);
    expect(words.slice(0, HEAD.length + 3)).toEqual([...HEAD, set, '--headless', '--unattended']);
    const rest = words.slice(HEAD.length + 3);
    expect(rest.join(' ').split(' --').sort()).toEqual(
      [
        '--port a=serial:/dev/ttyS0',
        ...['port b=mock', 'map 1-8=a,9-16=b', 'thru-from interface:1', 'thru-channel 4', 'settle 20'],
        ...['no-setup-first', 'follow serial:/dev/ttyS1', 'on-clock-loss pause', 'again'],
      ].sort(),
    );
    // What it starts, this program takes.
    const again = await answerOf([...words.slice(HEAD.length - 1), '--service']);
    expect(startedBy(again.stdout)).toEqual(words);
  });

  test('for a terminal: refused where the set has its music on it', async () => {
    const { stdout, code } = await answerOf(['show', set, '--service-tty', 'tty2']);
    expect(code).toBe(0);
    expect(settingsOf(stdout).get('Service.TTYPath')).toEqual(['/dev/tty2']);
    const refused = await answerOf(['show', set, '--service-tty', 'ttyS3']);
    expect(refused.code).toBe(2);
    expect(refused.stderr).toContain('--service-tty ttyS3: the music goes through this line');
  });
});

/** By systemd itself, where it is installed (systemd-analyze(1), "verify"). */
const hasSystemd = spawnSync('systemd-analyze', ['--version']).status === 0;

describe.skipIf(!hasSystemd)('systemd itself', () => {
  /** Faults in the unit we made; of others on this machine it may complain as it likes. */
  function faultsIn(unit: string, ...args: string[]): string[] {
    const place = tempFolder('service-verify');
    const path = join(place, 'wirepit-show.service');
    writeFileSync(path, unit);
    const { stderr } = spawnSync('systemd-analyze', [...args, '--man=no', 'verify', path], {
      encoding: 'utf8',
      env: { ...process.env, XDG_RUNTIME_DIR: place },
    });
    expect(stderr).not.toContain('initialize');
    return stderr.split('\n').filter((line) => line.includes('wirepit-show'));
  }
  const wishes = { ...WISHES, setPath: NAMES[1]!, folder: '/srv/our 100% fair' };

  test('finds no fault with them', () => {
    expect(faultsIn(serviceUnit(wishes), '--user')).toEqual([]);
    for (const tty of ['tty1', 'ttyS1']) {
      expect(faultsIn(terminalUnit(wishes, unitTerminal(tty, []), 'root'))).toEqual([]);
    }
  });

  test('would have found one', () => {
    const unit = serviceUnit(wishes);
    expect(faultsIn(unit.replace('RestartSec=3', 'RestartSec=soon'), '--user')).not.toEqual([]);
    expect(faultsIn(unit.replace(/ExecStart=\S+/, 'ExecStart=/no/such/node'), '--user')).not.toEqual([]);
    expect(faultsIn(unit.replace('=-/srv', '=srv'), '--user')).not.toEqual([]);
  });
});
