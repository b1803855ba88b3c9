import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { songBytes, tempo } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { playReportSchema } from '../play-schema.ts';

const folder = tempFolder('follow-cli');
const SONG = join(folder, 'quarters.mid');
/** Eight quarters at 120, each held for half of its time. */
writeFileSync(
  SONG,
  songBytes([
    [
      [0, tempo(500_000)],
      ...Array.from({ length: 8 }, (): [number, number[]][] => [
        [0, [0x90, 60, 100]],
        [48, [0x80, 60, 64]],
        [48, [0xb0, 1, 0]],
      ]).flat(),
    ],
  ]),
);

/** A record of a clock at 150 a minute (a quarter in 400 ms) that says Start, and Stop after so many clocks. */
function clockLog(name: string, count: number): string {
  const path = join(folder, name);
  const period = 400_000 / 24;
  const lines = ['# a clock at 150 a minute', '0 FA'];
  for (let n = 0; n < count; n += 1) lines.push(`${(10_000 + n * period).toFixed(1)} F8`);
  lines.push(`${(10_000 + count * period).toFixed(1)} FC`);
  writeFileSync(path, `${lines.join('\n')}\n`);
  return `file:${path}`;
}

const play = (...args: string[]) => answerOf(['play', SONG, '--headless', '--clock', 'virtual', ...args]);

describe('play --follow on the virtual clock', () => {
  test('each note stands where the recorded clock has it, and the report tells of the clock', async () => {
    const out = join(folder, 'sent.txt');
    const { code, stdout } = await play(
      '--follow',
      clockLog('whole', 200),
      '--port',
      `file:${out}`,
      '--json',
    );
    expect(code).toBe(0);
    const lines = readFileSync(out, 'utf8').split('\n');
    const onsets = lines
      .filter((line) => /^\S+ (90 )?3C 64$/.test(line))
      .map((line) => Number.parseFloat(line));
    expect(onsets.map((micros) => Math.round((micros - onsets[0]!) / 1000))).toEqual(
      Array.from({ length: 8 }, (_, quarter) => quarter * 400),
    );
    const { followed, soundingAtEnd } = playReportSchema.parse(JSON.parse(stdout));
    expect(soundingAtEnd).toBe(0);
    expect(followed).toMatchObject({ losses: 0, quartersPerMinute: 150, atEnd: 'ended' });
    expect(followed!.clocks).toBeGreaterThan(150);
  });

  test('a clock that stops for good in the middle: silence, a line that says so, exit code 1', async () => {
    const out = join(folder, 'stopped.txt');
    const follow = clockLog('half', 60);
    const { code, stderr } = await play('--follow', follow, '--port', `file:${out}`);
    expect(code).toBe(1);
    expect(stderr).toContain(
      `wirepit: nothing more comes from ${follow}, and the song stood at 1:3, so the run ended`,
    );
    const reader = new WireReader();
    for (const line of readFileSync(out, 'utf8').split('\n')) {
      if (/^\d/.test(line))
        reader.read(
          line
            .split(' ')
            .slice(1)
            .map((pair) => Number.parseInt(pair, 16)),
        );
    }
    expect(reader.noteOns).toHaveLength(3);
    expect(reader.sounding).toBe(0);
  });

  test('without a clock followed the report says nothing of one', async () => {
    const { stdout } = await play('--json');
    expect(playReportSchema.parse(JSON.parse(stdout))).not.toHaveProperty('followed');
  });
});

describe('what is refused', () => {
  const log = clockLog('log', 10);
  const fifo = join(folder, 'fifo');
  spawnSync('mkfifo', [fifo]);
  const real = ['--clock', 'real'];
  const cases: readonly [why: string, args: string[], says: string][] = [
    ['a tempo of our own', ['--follow', log, '--tempo', '90'], '--tempo: the clock that is followed says'],
    ['a loop of our own', ['--follow', log, '--loop', '1-2', ...real], '--loop: the clock that is followed'],
    ['a count of our own', ['--follow', log, '--count-in', '1'], '--count-in: the clock that is followed'],
    [
      'a clock still to come on the virtual clock',
      ['--follow', 'stdin'],
      '--follow stdin: the virtual clock',
    ],
    ['no such input', ['--follow', 'telegraph:1', ...real], 'port telegraph:1: there is no such input'],
    ['no such file', ['--follow', 'file:/nowhere/log'], 'file:/nowhere/log: cannot be read (ENOENT)'],
    ['a song', ['--follow', `file:${SONG}`], 'that is a song, not a dump of bytes'],
    [
      'to write over what is read',
      ['--follow', log, '--port', log, '--replace'],
      'it is the file that is read',
    ],
    [
      'its own bytes',
      ['--follow', `raw:${fifo}`, '--port', `raw:${fifo}`, ...real],
      'would be read here again',
    ],
    [
      'a clock in a circle',
      ['--follow', 'serial:/dev/ttyS9', '--port', 'a=serial:/dev/ttyS9', '--sync', ...real],
      'serial:/dev/ttyS9: the clock would be sent back to where it comes from',
    ],
  ];
  test.each(cases)('%s', async (_why, args, says) => {
    const { code, stderr, stdout } = await play(...args);
    expect(stderr).toContain(says);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect([code, stdout]).toEqual([2, '']);
  });
});
