import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { hex } from '../../support/hex.ts';
import { runWirepit } from '../../support/run-wirepit.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** SMF 1.1, appendix 2, first worked example (format 0): four notes on three channels in two seconds. */
const WORKED_EXAMPLE = hex(`
  4D546864 00000006 0000 0001 0060 4D54726B 0000003B
  00FF580404021808 00FF510307A120 00C005 00C12E 00C246 00923060 003C60
  60914340 60904C20 8140823040 003C40 00814340 00804C40 00FF2F00`);

const folder = tempFolder('cli');

function file(name: string, bytes: Uint8Array | string): string {
  const path = join(folder, name);
  writeFileSync(path, bytes);
  return path;
}

describe('wirepit <song> --headless --clock virtual --json', () => {
  test("tells what was sent of the specification's worked example", async () => {
    const path = file('worked.mid', WORKED_EXAMPLE);
    const { code, stdout } = await runWirepit([path, '--headless', '--clock', 'virtual', '--json']);
    expect(code).toBe(0);
    const report = JSON.parse(stdout);
    expect(report.song).toEqual({ file: path, format: 0, tracks: 1, durationSeconds: 2 });
    expect(report.sent.noteOns).toBe(4);
    expect(report.channels.slice(0, 3)).toEqual([
      { channel: 1, noteOns: 1, programs: [6] },
      { channel: 2, noteOns: 1, programs: [47] },
      { channel: 3, noteOns: 2, programs: [71] },
    ]);
    expect(report.findings).toEqual([]);
    expect(report.soundingAtEnd).toBe(0);
  });

  test('two songs give two lines, in turn', async () => {
    const path = file('worked.mid', WORKED_EXAMPLE);
    const { code, stdout } = await answerOf([path, path, '--headless', '--clock', 'virtual', '--json']);
    expect(code).toBe(0);
    expect(stdout.trim().split('\n')).toHaveLength(2);
  });

  test('nothing is printed on standard output without --json', async () => {
    const path = file('worked.mid', WORKED_EXAMPLE);
    const { code, stdout } = await answerOf([path, '--headless', '--clock', 'virtual']);
    expect({ code, stdout }).toEqual({ code: 0, stdout: '' });
  });

  test('a start position leaves out what comes before', async () => {
    const path = file('worked.mid', WORKED_EXAMPLE);
    const args = [path, '--headless', '--clock', 'virtual', '--json', '--from', '0.75s'];
    const report = JSON.parse((await answerOf(args)).stdout);
    expect(report.sent.noteOns).toBe(1);
    expect(report.channels[2].programs).toEqual([71]); // the chase still sets every channel up
  });

  test('mute and solo hold note-ons back and let programs through', async () => {
    const path = file('worked.mid', WORKED_EXAMPLE);
    const args = [path, '--headless', '--clock', 'virtual', '--json', '--mute', '3'];
    const report = JSON.parse((await answerOf(args)).stdout);
    expect(report.channels[2]).toEqual({ channel: 3, noteOns: 0, programs: [71] });
    expect(report.sent.noteOns).toBe(2);
  });
});

describe('bad input is one line on standard error and exit code 2', () => {
  const cases: [name: string, bytes: Uint8Array | string][] = [
    ['empty.mid', ''],
    ['text.mid', 'these are words\n'.repeat(20)],
    ['zeros.mid', new Uint8Array(100_000)],
    ['header-only.mid', hex('4D546864 00000006')],
  ];
  for (const [name, bytes] of cases) {
    test(name, async () => {
      const path = file(name, bytes);
      const { code, stdout, stderr } = await answerOf([path, '--headless', '--clock', 'virtual', '--json']);
      expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
      expect(stderr.trim().split('\n')).toHaveLength(1);
      expect(stderr).toContain(path);
      expect(stderr).not.toMatch(/ {4}at /);
    });
  }

  const usages: [what: string, args: string[]][] = [
    ['a missing file', ['no-such-song.mid', '--headless']],
    ['a folder without songs', ['src', '--headless']],
    ['no song and no screen', ['--headless']],
    ['a position that is none', ['songs/tide-study.mid', '--headless', '--from', 'nowhere at all']],
    ['a position past the end', ['songs/night-ferry.mid', '--headless', '--from', '9999']],
    ['a port that is none', ['songs/tide-study.mid', '--headless', '--port', 'carrier-pigeon:1']],
    [
      'a hardware port where there is no sound system',
      ['songs/tide-study.mid', '--headless', '--port', 'interface:no such thing'],
    ],
    ['a channel that is none', ['songs/tide-study.mid', '--headless', '--mute', '17']],
    ['a flag that is none', ['songs/tide-study.mid', '--louder']],
    ['a flag that is nearly one', ['songs/tide-study.mid', '--jsn']],
    ['a flag without its value', ['songs/tide-study.mid', '--tempo']],
    ['a tempo out of range', ['songs/tide-study.mid', '--tempo', '401']],
    ['half a semitone', ['songs/tide-study.mid', '--transpose', '1.5']],
    ['half a bar', ['songs/tide-study.mid', '--count-in', '0.5']],
    ['a loop that ends before it begins', ['songs/tide-study.mid', '--headless', '--loop', '17-9']],
    [
      'a loop on the clock that runs to the end',
      ['songs/tide-study.mid', '--headless', '--clock', 'virtual', '--loop', '3-4'],
    ],
    ['a file name with control characters', ['\u001b[2J\u009b1m.mid', '--headless']],
  ];
  for (const [what, args] of usages) {
    test(what, async () => {
      const { code, stdout, stderr } = await answerOf(args);
      expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
      expect(stderr).toMatch(/^wirepit: \P{Cc}+\n$/u);
      expect(stderr).not.toMatch(/ {4}at |fault of ours/);
    });
  }
});

test('of several songs each has its own record and its own file of bytes', async () => {
  const [take, sent] = [join(folder, 'take.mid'), join(folder, 'sent.txt')];
  const songs = ['songs/night-ferry.mid', 'songs/tide-study.mid'];
  const { code } = await answerOf([
    ...songs,
    '--headless',
    '--clock',
    'virtual',
    '--record',
    take,
    '--port',
    `file:${sent}`,
  ]);
  expect(code).toBe(0);
  for (const path of [take, join(folder, 'take-2.mid'), sent, join(folder, 'sent-2.txt')]) {
    expect(readFileSync(path).length, path).toBeGreaterThan(1000);
  }
});

test('findings and the mock wire are told in a line each as a song begins', async () => {
  const path = file(
    'told.mid',
    hex('4D546864 00000006 0000 0001 0000 4D54726B 00000008 00 90 3C 40 00 80 3C 40'),
  );
  const plain = await answerOf([path, '--headless', '--clock', 'virtual']);
  expect(plain.stderr).toMatch(
    /^\d+ findings? in this song .*\non the mock wire: .+--port serial:.+wirepit ports.+\n$/,
  );
  const named = await answerOf([path, '--headless', '--clock', 'virtual', '--port', 'mock']);
  expect(named.stderr).toMatch(/^\d+ findings? in this song .*\n$/);
});

test('--version and --help exit with 0', async () => {
  const version = await runWirepit(['--version']);
  expect(version.code).toBe(0);
  expect(version.stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
  const help = await runWirepit(['play', '--help']);
  expect(help.code).toBe(0);
  expect(help.stdout).toContain('--port');
});

test('a real-time run tells its progress on standard error', async () => {
  const path = file('worked.mid', WORKED_EXAMPLE);
  const { code, stderr } = await runWirepit([path, '--headless', '--tempo', '400']);
  expect(code).toBe(0);
  expect(stderr.trim()).not.toBe('');
});
