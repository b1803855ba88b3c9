import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { songBytes, sysEx, tempo } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** What `check` says of a song is what `play` does with it, told from the reports of both. */
const folder = tempFolder('truth');

/** General MIDI System On (MIDI 1.0, Table VIIa), which modules want to rest after. */
const GM_ON = sysEx([0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7]);

/** 120 a minute, so that 96 ticks are half a second. */
function song(name: string, ...steps: Parameters<typeof songBytes>[0][number]): string {
  const path = join(folder, name);
  writeFileSync(path, songBytes([[[0, tempo(500_000)], ...steps]]));
  return path;
}

const FIRST = song('first.mid', [0, GM_ON], [0, [0x90, 60, 64]], [96, [0x80, 60, 64]]);
/** A reset while a note sounds, 50 ms before the next one. */
const MIDDLE = song(
  'middle.mid',
  [0, [0x90, 60, 64]],
  [96, GM_ON],
  [10, [0x90, 62, 64]],
  [20, [0x80, 60, 64]],
  [96, [0x80, 62, 64]],
);

async function worstOf(path: string, ...flags: string[]): Promise<{ checked: number; played: number }> {
  const check = await answerOf(['check', '--json', path, ...flags]);
  const play = await answerOf([path, '--headless', '--clock', 'virtual', '--json', ...flags]);
  return {
    checked: JSON.parse(check.stdout).wire.packed.worstOnsetLatenessMicros,
    played: JSON.parse(play.stdout).wire.worstOnsetLatenessMicros,
  };
}

describe('a reset and the rest after it', () => {
  test.each([
    [[], 0],
    [['--settle', '0'], 0],
    [['--settle', '300'], 0],
  ])('before the first note, %j: the song waits', async (flags) => {
    const { checked, played } = await worstOf(FIRST, ...flags);
    expect(checked).toBeLessThan(3000);
    expect(Math.abs(checked - played)).toBeLessThan(1000);
  });

  test.each([
    [[], 40_000, 60_000],
    [['--settle', '0'], 0, 3000],
    [['--settle', '300'], 240_000, 260_000],
  ])('among the notes, %j: check tells how late that makes the next', async (flags, least, most) => {
    const { checked, played } = await worstOf(MIDDLE, ...flags);
    expect(checked).toBeGreaterThan(least);
    expect(checked).toBeLessThan(most);
    expect(Math.abs(checked - played)).toBeLessThan(1000);
  });

  test('the command that check gives plays with the rest that was asked for', async () => {
    const { stdout } = await answerOf(['check', '--json', FIRST, '--settle', '250']);
    expect(JSON.parse(stdout).command).toEqual(['play', '--settle', '250', FIRST]);
  });
});

test.each([
  ['--early', '2.5', 0],
  ['--thin', '1.5', 0],
  ['--settle', '12.5', 0],
  ['--early', '101', 2],
  ['--settle', '5001', 2],
  ['--thin', '65', 2],
])('%s %s: taken by both or by neither', async (flag, value, code) => {
  const check = await answerOf(['check', FIRST, flag, value]);
  const play = await answerOf([FIRST, '--headless', '--clock', 'virtual', flag, value]);
  expect([check.code, play.code]).toEqual([code, code]);
});
