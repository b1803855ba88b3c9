import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { meta, songBytes, tempo } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { WireReader } from '../../support/wire-reader.ts';

/** What each flag of `wirepit play` does, told from the bytes of a file port on the virtual clock. */
const folder = tempFolder('flags');
const SONG = join(folder, 'song.mid');

/** A bar of 4/4 at 120: 2 s. A maker's own SysEx (7D: MIDI 1.0, for research) and two long notes. */
beforeAll(() =>
  writeFileSync(
    SONG,
    songBytes([
      [
        [0, tempo(500_000)],
        [0, [0xf0, 0x04, 0x7d, 0x01, 0x02, 0xf7]],
        [0, [0x90, 60, 64]],
        [0, [0x99, 36, 64]],
        [0, [0x91, 48, 64]],
        [384, meta(0x06, Buffer.from('Second bar'))],
        [0, [0x80, 60, 64]],
        [0, [0x89, 36, 64]],
        [0, [0x90, 62, 64]],
        [384, [0x80, 62, 64]],
        [0, [0x81, 48, 64]],
      ],
    ]),
  ),
);

async function heard(...flags: string[]): Promise<{ keys: string[]; bytes: number[][]; lastMicros: number }> {
  const out = join(folder, 'sent.txt');
  const ran = await answerOf([
    SONG,
    '--headless',
    '--clock',
    'virtual',
    '--port',
    `file:${out}`,
    '--replace',
    ...flags,
  ]);
  expect(ran).toMatchObject({ code: 0, stdout: '' });
  const lines = readFileSync(out, 'latin1')
    .split('\n')
    .filter((line) => /^\d/.test(line));
  const reader = new WireReader();
  for (const line of lines)
    reader.read(
      line
        .split(' ')
        .slice(1)
        .map((byte) => Number.parseInt(byte, 16)),
    );
  expect({ faults: reader.faults, sounding: reader.sounding }).toEqual({ faults: [], sounding: 0 });
  return {
    keys: reader.noteOns.map(({ channel, key }) => `${channel + 1}:${key}`).sort(),
    bytes: reader.messages,
    lastMicros: Number(lines.at(-1)!.split(' ')[0]),
  };
}

const isKind = (status: number) => (message: number[]) => message[0] === status;

describe('flags', () => {
  test('none: every note, no SysEx of a maker, no real-time byte', async () => {
    const { keys, bytes } = await heard();
    expect(keys).toEqual(['10:36', '1:60', '1:62', '2:48']);
    expect(bytes.filter(([status]) => status! >= 0xf0)).toEqual([]);
  });

  test.each([['2'], ['2:1'], ['2s'], ['0m2s'], ['second']])('--from %s', async (place) => {
    expect((await heard('--from', place)).keys).toEqual(['1:62']);
  });

  test('--restrike strikes what should sound again', async () => {
    expect((await heard('--from', '2', '--restrike')).keys).toEqual(['1:62', '2:48']);
  });

  test('--transpose leaves channel 10 alone', async () => {
    expect((await heard('--transpose', '-5')).keys).toEqual(['10:36', '1:55', '1:57', '2:43']);
  });

  test('--mute, --solo', async () => {
    expect((await heard('--mute', '1-2')).keys).toEqual(['10:36']);
    expect((await heard('--solo', '2,10')).keys).toEqual(['10:36', '2:48']);
  });

  test('--tempo 400 plays in a quarter of the time', async () => {
    const [written, fast] = [await heard(), await heard('--tempo', '400')];
    // 4 s of song; both end with the ring-out.
    expect(written.lastMicros - fast.lastMicros).toBeCloseTo(3_000_000, -4);
  });

  test('--count-in 1: four clicks on channel 10', async () => {
    expect((await heard('--count-in', '1')).keys.filter((key) => /^10:7[67]$/.test(key))).toHaveLength(4);
  });

  test('--allow-sysex lets it through', async () => {
    expect((await heard('--allow-sysex')).bytes).toContainEqual([0xf0, 0x7d, 0x01, 0x02, 0xf7]);
  });

  test('--sync: Start, 24 clocks a quarter, Stop (MIDI 1.0, p. 30)', async () => {
    const { bytes } = await heard('--sync');
    expect(bytes.filter(isKind(0xfa))).toHaveLength(1);
    expect(bytes.filter(isKind(0xfc))).toHaveLength(1);
    // Eight quarters; the clock at the very end may or may not be among them.
    expect([192, 193]).toContain(bytes.filter(isKind(0xf8)).length);
  });

  test('--active-sensing: FE at least every 300 ms (MIDI 1.0, p. 32)', async () => {
    expect((await heard('--active-sensing')).bytes.filter(isKind(0xfe)).length).toBeGreaterThan(4000 / 300);
  });
});

test('docs/play-json.md explains every field of the report, and no other', async () => {
  // With an instrument, a keyboard and a clock, for fields that are there only where one was named.
  const played = join(folder, 'played.txt');
  writeFileSync(played, '0 90 3C 40\n');
  const clock = join(folder, 'clock.txt');
  writeFileSync(clock, '0 FA\n1000 F8\n');
  const { stdout } = await answerOf([
    ...[SONG, '--headless', '--clock', 'virtual', '--json'],
    ...['--instrument', 'lindwurm-eight', '--thru-from', `file:${played}`, '--follow', `file:${clock}`],
  ]);
  const report: Record<string, unknown> & { ports: object[] } = JSON.parse(stdout);
  const ofPort = Object.keys(report.ports[0]!).map((inner) => `ports[].${inner}`);
  const fields = Object.entries(report).flatMap(([name, value]) =>
    Array.isArray(value)
      ? [`${name}[]`]
      : typeof value === 'object' && value !== null
        ? Object.keys(value).map((inner) => `${name}.${inner}`)
        : [name],
  );
  const explained = readFileSync(join(import.meta.dirname, '../../../docs/play-json.md'), 'utf8')
    .split('\n')
    .flatMap((line) => /^\| `([^`]+)` \|/.exec(line)?.[1] ?? []);
  expect(explained.sort()).toEqual([...fields, ...ofPort].sort());
});
