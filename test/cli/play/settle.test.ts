import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { songBytes, sysEx, tempo } from '../../support/song-bytes.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/**
 * `--settle`: what a module needs after a reset, told from the times at which bytes were on the wire. A byte takes
 * 320 µs (MIDI 1.0, p. 1); General MIDI System On is six bytes (MIDI 1.0, Table VIIa; GM2 System On: GM2).
 */
const BYTE_MICROS = 320;
const GM_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
const GM2_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x03, 0xf7];

const folder = tempFolder('settle');
const SONG = join(folder, 'resets.mid');

/** 120 a minute: a reset, a program and a note together at 0 s and, with the other reset, at 1 s. */
beforeAll(() =>
  writeFileSync(
    SONG,
    songBytes([
      [
        [0, tempo(500_000)],
        [0, sysEx(GM_ON)],
        [0, [0xc0, 5]],
        [0, [0x90, 60, 64]],
        [96, [0x80, 60, 64]],
        [96, sysEx(GM2_ON)],
        [0, [0xc0, 6]],
        [0, [0x90, 62, 64]],
        [96, [0x80, 62, 64]],
      ],
    ]),
  ),
);

interface Sent {
  readonly micros: number;
  readonly bytes: Uint8Array;
}

async function sentWith(name: string, ...args: string[]): Promise<Sent[]> {
  const file = join(folder, name);
  const { code, stderr } = await answerOf([SONG, '--headless', '--port', `file:${file}`, ...args]);
  expect(code, stderr).toBe(0);
  const lines = readFileSync(file, 'latin1').trimEnd().split('\n').slice(1);
  return lines.map((line) => {
    const at = line.indexOf(' ');
    return { micros: Number(line.slice(0, at)), bytes: bytesOf(line.slice(at + 1)) };
  });
}

/** Microseconds from the last byte of each reset to the first byte of what follows. */
function restsIn(sent: readonly Sent[]): number[] {
  return sent.flatMap(({ micros, bytes }, at) => {
    const next = sent[at + 1];
    const isReset = bytes[0] === 0xf0 && bytes[3] === 0x09;
    return isReset && next ? [next.micros - (micros + bytes.length * BYTE_MICROS)] : [];
  });
}

describe('--settle, from the command line to the wire', () => {
  test.each([
    ['0', 0],
    ['50', 50_000],
    ['250', 250_000],
    ['12.5', 12_500],
    ['5000', 5_000_000],
  ])('--settle %s: exactly that long nothing is sent after a reset', async (text, micros) => {
    const sent = await sentWith(`s${text}`, '--clock', 'virtual', '--settle', text);
    expect(restsIn(sent)).toEqual([micros, micros]);
  });

  test('100 ms where nothing is said', async () => {
    expect(restsIn(await sentWith('default', '--clock', 'virtual'))).toEqual([100_000, 100_000]);
  });

  test('in file order as in the packed plan', async () => {
    const sent = await sentWith('order', '--clock', 'virtual', '--settle', '80', '--plan', 'file-order');
    expect(restsIn(sent)).toEqual([80_000, 80_000]);
  });

  test('also for the reset that goes before a start in mid-song', async () => {
    const sent = await sentWith('from', '--clock', 'virtual', '--settle', '300', '--from', '1.2s');
    expect(restsIn(sent)).toEqual([300_000]);
  });

  test('the rest an instrument needs is kept after the reset that fit sent in place of another', async () => {
    const instrument = join(folder, 'first-level.toml');
    writeFileSync(
      instrument,
      '[instrument]\nname = "First"\nresets = ["gm1"]\n[instrument.pauses]\nafter-reset-ms = 300\n',
    );
    const sent = await sentWith('fit', '--clock', 'virtual', '--fit', '--instrument', instrument);
    expect(restsIn(sent)).toEqual([300_000, 300_000]);
    const resets = sent.map(({ bytes }) => [...bytes]).filter(([status]) => status === 0xf0);
    expect(resets).toEqual([GM_ON, GM_ON]);
  });

  test('on the real clock no byte comes sooner', async () => {
    const rests = restsIn(await sentWith('real', '--settle', '200'));
    expect(rests).toHaveLength(2);
    for (const micros of rests) expect(micros).toBeGreaterThanOrEqual(200_000);
  });

  test.each(['-1', '5001', 'long'])('--settle %s is refused', async (text) => {
    const { code, stderr } = await answerOf([SONG, '--headless', '--settle', text]);
    expect({ code, stderr }).toEqual({
      code: 2,
      stderr: `wirepit: --settle: it cannot be '${text}'; write a number from 0 to 5000\n`,
    });
  });
});
