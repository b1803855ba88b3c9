import { realpathSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { serviceUnit } from '../../../src/cli/show/service-unit.ts';
import type { ShowFlags } from '../../../src/cli/show/song-flags.ts';

/** A command line as systemd takes it apart: quotes, backslashes in them, %% and $$ (systemd.service, "Command lines"). */
function wordsOf(line: string): string[] {
  const words = [...line.matchAll(/"((?:[^"\\]|\\.)*)"|(\S+)/g)];
  return words.map(([, quoted, plain]) =>
    (plain ?? quoted!.replace(/\\(.)/g, '$1')).replaceAll('%%', '%').replaceAll('$$', '$'),
  );
}

function started(set: string, flags: Partial<ShowFlags>): string[] {
  const unit = serviceUnit(set, { port: [], ...flags } as ShowFlags);
  return wordsOf(/^ExecStart=(.*)$/m.exec(unit)![1]!);
}

const HEAD = [process.execPath, realpathSync(process.argv[1]!), 'show'];
const TAIL = ['--headless', '--unattended'];

describe('a unit of systemd', () => {
  test('starts the show that was asked for, whatever its names have in them', () => {
    for (const set of ['/home/a/fair.toml', '/srv/our fair/100% $HOME "best".toml', '/a\\b/c;d&e.toml']) {
      const port = ['left=serial:/dev/serial/by-id/usb x', 'right=raw:/dev/midi1'];
      expect(started(set, { port, map: '1-8=left,9-16=right' })).toEqual([
        ...HEAD,
        set,
        ...TAIL,
        ...['--port', port[0], '--port', port[1], '--map', '1-8=left,9-16=right'],
      ]);
    }
  });

  test('follows and lets play along as it was told', () => {
    const flags = {
      thruFrom: 'interface:1',
      thruChannel: 'own',
      follow: 'serial:/dev/ttyS1',
      onClockLoss: 'pause',
    };
    const words = started('/s.toml', flags as unknown as Partial<ShowFlags>);
    expect(words.slice(HEAD.length + 1 + TAIL.length)).toEqual([
      ...['--thru-from', 'interface:1', '--thru-channel', 'own'],
      ...['--follow', 'serial:/dev/ttyS1', '--on-clock-loss', 'pause'],
    ]);
  });

  test('starts again after a fault, gives the silence its time, and says how it is put in', () => {
    const unit = serviceUnit('/s.toml', { port: [] } as unknown as ShowFlags);
    const sections = unit.split('\n').filter((line) => line.startsWith('['));
    expect(sections).toEqual(['[Unit]', '[Service]', '[Install]']);
    expect(unit).toMatch(/^Restart=on-failure$/m);
    // Every key of every channel, off, at 31,250 baud: 16 · 128 · 3 bytes of 320 µs (MIDI 1.0, p. 1).
    expect(Number(/^TimeoutStopSec=(\d+)$/m.exec(unit)![1])).toBeGreaterThan(16 * 128 * 3 * 320e-6);
    expect(unit).toMatch(/^# .*systemctl --user enable --now wirepit-show$/m);
  });
});
