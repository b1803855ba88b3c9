import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { readImage } from '../../../src/core/export/player/read-image.ts';
import { answerOf } from '../../support/command-line.ts';
import { songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('prepare');
const put = (name: string, text: string | Uint8Array) => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};
const scale: Parameters<typeof songBytes>[0][number] = Array.from(
  { length: 40 },
  (_, note): Parameters<typeof songBytes>[0][number] => [
    [0, [0x90, 40 + note, 80]],
    [48, [0x80, 40 + note, 0]],
  ],
).flat();
const SONG = put('scale.mid', songBytes([scale]));
// A second channel that never repeats: what leaves it out is all that helps.
const other = scale.map(([delta], at): (typeof scale)[number] => [
  delta,
  [at % 2 === 0 ? 0x91 : 0x81, (at >> 1) * 3, at % 2 === 0 ? 1 + ((at * at * 7) % 127) : 0],
]);
const BOTH = put('both.mid', songBytes([scale, other]));
const BOARD = 'docs/boards/hayloft-80.toml';
const board = (changes: Record<string, string> = {}) => {
  const fields: Record<string, string> = {
    cpu: '"z80"',
    'clock-hz': '2_000_000',
    ram: '{ from = 0x2000, to = 0x4000 }',
    out: '{ port = 1 }',
    ...changes,
  };
  const text = Object.entries(fields).map(([name, value]) => `${name} = ${value}\n`);
  return put('board.toml', text.join(''));
};

const BOARD_6502 = {
  cpu: '"6502"',
  'clock-hz': '1_000_000',
  ram: '{ from = 0x300, to = 0x4000 }',
  out: '{ address = 0xC010 }',
};

const adviceSchema = z.strictObject({
  kind: z.enum(['thin', 'coarser-grid', 'leave-out-channel']),
  value: z.number(),
  bytes: z.int(),
  fits: z.boolean(),
});
const schema = z.strictObject({
  schema: z.literal('wirepit-prepare/1'),
  file: z.string(),
  board: z.string(),
  fits: z.boolean(),
  bytes: z.strictObject({ stream: z.int(), player: z.int(), stack: z.int(), free: z.int() }),
  loadAddress: z.int(),
  startAddress: z.int(),
  gridMicros: z.number(),
  gridErrorMaxMicros: z.number(),
  worstLateMicros: z.number(),
  events: z.int(),
  tapeSeconds: z.number(),
  verified: z
    .strictObject({
      bytes: z.int(),
      equal: z.int(),
      p50LateMicros: z.number(),
      worstLateMicros: z.number(),
      shortestGapMicros: z.number(),
      accountCycles: z.number(),
      strayAccesses: z.int(),
    })
    .nullable(),
  fitted: z
    .strictObject({
      instrument: z.string(),
      lossBeforePercent: z.number(),
      lossAfterPercent: z.number(),
      isAsWritten: z.boolean(),
    })
    .nullable(),
  changed: adviceSchema.nullable(),
  advice: z.array(adviceSchema),
});

/** Bytes with running status as whole messages of three bytes (MIDI 1.0, p. 5): the song has no others. */
function messagesOf(bytes: Uint8Array): string[] {
  const messages: string[] = [];
  let status = 0;
  for (let at = 0; at < bytes.length; at += 2) {
    if (bytes[at]! >= 0x80) status = bytes[at++]!;
    messages.push(`${status} ${bytes[at]} ${bytes[at + 1]}`);
  }
  return messages;
}

describe('wirepit prepare', () => {
  test('writes an image that reads back, and its report holds what an emulated processor did', async () => {
    const out = join(folder, 'x.bin');
    const ran = await answerOf(['prepare', SONG, '--board', BOARD, '--out', out, '--verify', '--json']);
    expect(ran).toMatchObject({ code: 0, stderr: '' });
    const report = schema.parse(JSON.parse(ran.stdout));
    expect(report.verified).toMatchObject({ equal: report.verified!.bytes, strayAccesses: 0 });
    expect(report.bytes.free).toBe(0x2000 - report.bytes.stream - report.bytes.player - report.bytes.stack);
    const image = new Uint8Array(readFileSync(out));
    expect(image.length).toBe(report.bytes.stream + report.bytes.player);
    // No message is moved by more than was allowed, and what is printed is what came out.
    expect(report.gridErrorMaxMicros).toBeLessThanOrEqual(2_700);
    expect(report.gridErrorMaxMicros).toBeLessThanOrEqual(report.gridMicros);
    expect(report.verified!.worstLateMicros).toBeCloseTo(report.worstLateMicros, 3);
    expect(report.events).toBeGreaterThanOrEqual(80);
    const told = await answerOf(['prepare', SONG, '--board', BOARD, '--verify']);
    expect(told.stdout).toMatch(/late {5}\d+\.\d\d ms at most, by the account of every path/);
    expect(told.stdout).toMatch(/grid {5}\d+\.\d\d ms, moves a message by \d+\.\d\d ms at most/);
    expect(told.stdout).toMatch(/(\d+) of \1 bytes equal/);
    expect(messagesOf((readImage(image) as { bytes: Uint8Array }).bytes).sort()).toEqual(
      // At the end the player falls silent: All Notes Off (CC123).
      [...scale.map(([, message]) => (message as number[]).join(' ')), '176 123 0'].sort(),
    );
  });

  test('--instrument: the song is made to fit first, and what that cost is told', async () => {
    const song = 'songs/night-ferry.mid';
    const out = join(folder, 'fitted.bin');
    const args = ['prepare', song, '--board', 'docs/boards/lantern-80.toml', '--instrument', 'parlour-piano'];
    const ran = await answerOf([...args, '--out', out, '--json']);
    expect(ran).toMatchObject({ code: 0, stderr: '' });
    const { fitted } = schema.parse(JSON.parse(ran.stdout));
    expect(fitted!.lossAfterPercent).toBeLessThan(fitted!.lossBeforePercent);
    // What `fit` writes, prepared, is the same image.
    const written = join(folder, 'fitted.mid');
    await answerOf(['fit', song, '--instrument', 'parlour-piano', '--out', written]);
    const other = join(folder, 'other.bin');
    await answerOf(['prepare', written, '--board', 'docs/boards/lantern-80.toml', '--out', other]);
    expect(readFileSync(out).equals(readFileSync(other))).toBe(true);
  });

  test('sound is told with its length and with a caution', async () => {
    const ran = await answerOf(['prepare', SONG, '--board', BOARD, '--out', join(folder, 'x.wav')]);
    expect(ran.stdout).toMatch(/\d+ s of tape/);
    expect(ran.stdout).toMatch(/caution {2}turn it down first/);
    const plain = await answerOf(['prepare', SONG, '--board', BOARD, '--out', join(folder, 'x.bin')]);
    expect(plain.stdout).not.toMatch(/caution/);
  });

  test('a clock that is slow for a dense song is told, with what would help; at a faster one nothing is', async () => {
    // Chords of 24 notes on eight channels, put together from the same few notes: levels in levels, in bursts.
    const chords = Array.from({ length: 60 * 24 }, (_, at): (typeof scale)[number] => {
      const turn = (at * at + 3 * Math.floor(at / 24)) % 17;
      return [at % 24 === 0 ? 24 : 0, [0x90 | (turn % 8), 40 + turn, at % 48 < 24 ? 80 : 0]];
    });
    const dense = put('dense.mid', songBytes([chords]));
    const onClock = async (hertz: string) =>
      (
        await answerOf([
          'prepare',
          dense,
          '--board',
          board({ 'clock-hz': hertz, ram: '{ from = 0x2000, to = 0xF000 }' }),
        ])
      ).stdout;
    expect(await onClock('500_000')).toMatch(
      /This clock is slow for this song: a faster one makes it less late/,
    );
    expect(await onClock('4_000_000')).not.toMatch(/clock is slow/);
  });

  test('a song that repeats is proved once through', async () => {
    const ran = await answerOf(['prepare', SONG, '--board', BOARD, '--repeat', '--verify', '--json']);
    const { verified } = schema.parse(JSON.parse(ran.stdout));
    expect(ran.code).toBe(0);
    expect(verified).toMatchObject({ equal: verified!.bytes, accountCycles: 0 });
  });

  test('Intel HEX: every record sums to 0, and the records are the image at its addresses', async () => {
    const [bin, hex] = [join(folder, 'y.bin'), join(folder, 'y.hex')];
    await answerOf(['prepare', SONG, '--board', BOARD, '--out', bin]);
    await answerOf(['prepare', SONG, '--board', BOARD, '--out', hex]);
    const memory: number[] = [];
    const lines = readFileSync(hex, 'latin1').trimEnd().split('\r\n');
    for (const line of lines) {
      const bytes = [...Buffer.from(line.slice(1), 'hex')];
      expect(bytes.reduce((sum, byte) => sum + byte, 0) & 0xff).toBe(0);
      const address = bytes[1]! * 256 + bytes[2]!;
      if (bytes[3] === 0) for (const [at, byte] of bytes.slice(4, -1).entries()) memory[address + at] = byte;
    }
    expect(lines.at(-1)).toBe(':00000001FF');
    expect(memory.slice(0x2000)).toEqual([...readFileSync(bin)]);
  });

  test('a song that does not fit exits with 1, writes nothing, and says what would help', async () => {
    const out = join(folder, 'z.bin');
    const alone = await answerOf(['prepare', SONG, '--board', board(), '--json']);
    const needed = 0x2000 - schema.parse(JSON.parse(alone.stdout)).bytes.free;
    const small = board({ ram: `{ from = 0x2000, to = ${0x2000 + needed - 40} }` });
    const ran = await answerOf(['prepare', SONG, '--board', small, '--out', out, '--json']);
    expect(ran.code).toBe(1);
    const report = schema.parse(JSON.parse(ran.stdout));
    expect(report.fits).toBe(false);
    expect(report.bytes.free).toBeLessThan(0);
    expect(() => readFileSync(out)).toThrow();
    // Each thing that helps is told with the memory it leaves it needing, in words as well.
    const tight = board({ ram: `{ from = 0x2000, to = ${0x2000 + needed + 8} }` });
    const helped = await answerOf(['prepare', BOTH, '--board', tight, '--json']);
    const { advice, bytes } = schema.parse(JSON.parse(helped.stdout));
    expect(helped.code).toBe(1);
    expect(advice).toContainEqual(
      expect.objectContaining({ kind: 'leave-out-channel', value: 2, fits: true }),
    );
    for (const one of advice) {
      expect(one.bytes).toBeLessThan(needed + 8 - bytes.free);
      expect(one.fits).toBe(one.bytes <= needed + 8);
    }
    const told = await answerOf(['prepare', BOTH, '--board', tight]);
    expect(told.stdout).toMatch(/what would help:/);
    for (const one of advice) expect(told.stdout).toContain(`: ${one.bytes} byte`);
  });

  test('--fit-memory takes what makes it fit and says so; where nothing does, nothing is written', async () => {
    const alone = await answerOf(['prepare', SONG, '--board', board(), '--json']);
    const needed = 0x2000 - schema.parse(JSON.parse(alone.stdout)).bytes.free;
    const fitTo = async (bytes: number, out: string) => {
      const machine = board({ ram: `{ from = 0x2000, to = ${0x2000 + bytes} }` });
      const ran = await answerOf([
        'prepare',
        BOTH,
        '--board',
        machine,
        '--fit-memory',
        '--out',
        out,
        '--json',
      ]);
      return { code: ran.code, report: schema.parse(JSON.parse(ran.stdout)) };
    };
    const out = join(folder, 'fitted-memory.bin');
    const { code, report } = await fitTo(needed + 8, out);
    expect(code).toBe(0);
    expect(report).toMatchObject({
      fits: true,
      advice: [],
      changed: { kind: 'leave-out-channel', fits: true },
    });
    const image = new Uint8Array(readFileSync(out));
    expect(image.length).toBe(needed + 8 - report.bytes.free - report.bytes.stack);
    expect(report.bytes.free).toBeGreaterThanOrEqual(0);
    const messages = messagesOf((readImage(image) as { bytes: Uint8Array }).bytes);
    expect(new Set(messages.map((message) => Number(message.split(' ')[0]) & 0x0f)).size).toBe(1);
    const nothing = join(folder, 'nothing.bin');
    const small = await fitTo(needed - 60, nothing);
    expect(small.code).toBe(1);
    expect(small.report).toMatchObject({ fits: false, changed: null });
    expect(existsSync(nothing)).toBe(false);
  });

  test.each<[string, Record<string, string>, RegExp]>([
    ['another processor', { cpu: '"z8000"' }, /board\.toml:1/],
    ['no clock', { 'clock-hz': '0' }, /board\.toml:2/],
    ['memory the wrong way round', { ram: '{ from = 0x4000, to = 0x2000 }' }, /ends before it begins/],
    ['less memory than the player', { ram: '{ from = 0x2000, to = 0x2100 }' }, /player alone takes/],
    [
      'less memory than the player (6502)',
      { ...BOARD_6502, ram: '{ from = 0x300, to = 0x440 }' },
      /player alone takes/,
    ],
    ['less memory than its head', { ram: '{ from = 0x2000, to = 0x201e }' }, /no room for the player/],
    [
      'an output in the song',
      { ...BOARD_6502, out: '{ address = 0x400 }' },
      /lies in the memory of the song/,
    ],
    [
      'an output in the player’s page 0',
      { ...BOARD_6502, out: '{ address = 0xEB }' },
      /lies in the bytes of page 0/,
    ],
    ['an output in the stack', { ...BOARD_6502, out: '{ address = 0x1FF }' }, /lies in the stack/],
    ['memory over the stack', { ...BOARD_6502, ram: '{ from = 0x1ff, to = 0x4000 }' }, /begin at 0x200/],
    [
      'a key that is the ready bit',
      { ready: '{ port = 2, mask = 3 }', stop: '{ port = 2, mask = 2 }' },
      /the song would stop itself/,
    ],
    ['an address where a port is meant', { out: '{ address = 0x4000 }' }, /writes to a port/],
    [
      'a ready bit at an address',
      { ready: '{ address = 2, mask = 1 }' },
      /write ready = \{ port = 0x10, mask/,
    ],
    ['a port where there is none', { ...BOARD_6502, out: '{ port = 1 }' }, /has no ports, only addresses/],
    ['a mask that asks nothing', { ready: '{ port = 2, mask = 0 }' }, /board\.toml:5/],
    ['a page 0 that it has not', { 'zero-page': '0x80' }, /needs no page 0/],
    ['a clock past what is counted', { ...BOARD_6502, 'clock-hz': '5_000_000' }, /counts up to 4 MHz/],
    ['a rate that no tape has', { 'tape-baud': '600' }, /board\.toml:5/],
    ['a record of nothing', { 'hex-record': '0' }, /board\.toml:5/],
    ['a field that is none', { colour: '"red"' }, /no such field/],
  ])('%s: one line, exit 2', async (_, changes, words) => {
    const ran = await answerOf(['prepare', SONG, '--board', board(changes)]);
    expect(ran.code).toBe(2);
    expect(ran.stdout).toBe('');
    expect(ran.stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(ran.stderr).toMatch(words);
  });

  test('no board, an unknown ending, nothing to play: one line, exit 2', async () => {
    const empty = put('empty.mid', songBytes([[[0, [0xff, 0x01, 0x00]]]]));
    for (const [args, words] of [
      [[SONG], /no machine is named/],
      [[SONG, '--board', BOARD, '--out', 'x.ogg'], /does not say how/],
      [[empty, '--board', BOARD], /nothing to play/],
    ] as const) {
      const ran = await answerOf(['prepare', ...args]);
      expect(ran.code).toBe(2);
      expect(ran.stderr).toMatch(words);
    }
  });
});
