import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { hexRecords } from '../../../src/core/export/hex-records.ts';
import { readImage } from '../../../src/core/export/player/read-image.ts';
import { answerOf } from '../../support/command-line.ts';
import { songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** A prepared song is played, checked and compared like any other, and what is not one is refused in a line. */
const SONG = 'songs/tide-study.mid';
const BOARD = 'docs/boards/lantern-80.toml';
const folder = tempFolder('prepared');
const at = (name: string) => join(folder, name);
const put = (name: string, bytes: Uint8Array | string) => {
  writeFileSync(at(name), bytes);
  return at(name);
};
type SongTrack = Parameters<typeof songBytes>[0][number];
let image: Uint8Array;

beforeAll(async () => {
  for (const form of ['bin', 'hex'])
    await answerOf(['prepare', SONG, '--board', BOARD, '--out', at(`song.${form}`)]);
  image = new Uint8Array(readFileSync(at('song.bin')));
});

/** Bytes in the lines of a file port's record, and the microseconds of each line. */
async function played(file: string, ...more: string[]) {
  const out = at('played.txt');
  const ran = await answerOf([
    'play',
    file,
    ...['--headless', '--clock', 'virtual', '--port', `file:${out}`, '--replace'],
    ...more,
  ]);
  expect(ran).toMatchObject({ code: 0 });
  const lines = readFileSync(out, 'utf8')
    .split('\n')
    .filter((line) => /^\d/.test(line));
  return lines.map((line) => {
    const [micros, ...bytes] = line.split(' ');
    return { micros: Number(micros), bytes: bytes.map((byte) => Number.parseInt(byte, 16)) };
  });
}

/** Messages with their status bytes, running status written out (MIDI 1.0, p. 5), and the place where each begins. */
function messagesOf(
  stream: readonly number[],
): { readonly bytes: readonly number[]; readonly place: number }[] {
  const messages: { bytes: number[]; place: number }[] = [];
  let status = 0;
  for (let place = 0; place < stream.length; ) {
    const begins = place;
    if (stream[place]! >= 0x80) {
      status = stream[place]!;
      place += 1;
    }
    let length = (status & 0xe0) === 0xc0 ? 1 : 2;
    if (status === 0xf0) length = stream.indexOf(0xf7, place) - place + 1;
    messages.push({ bytes: [status, ...stream.slice(place, place + length)], place: begins });
    place += length;
  }
  return messages;
}

describe('a prepared song', () => {
  test.each(['bin', 'hex'])(
    '.%s sends on a port what the machine would send, at its moments',
    async (form) => {
      const lines = await played(at(`song.${form}`), '--board', BOARD, '--settle', '0');
      const wanted = readImage(image) as Exclude<ReturnType<typeof readImage>, { kind: string }>;
      const sent = messagesOf(lines.flatMap((line) => line.bytes));
      const due = messagesOf([...wanted.bytes]);
      // Whole: either may leave out a status byte that is still in force.
      expect(sent.slice(0, due.length).map(({ bytes }) => bytes)).toEqual(due.map(({ bytes }) => bytes));
      // What follows is the silence at the end of every run.
      expect(sent.length - due.length).toBeLessThan(40);
      for (const [n, { place }] of due.entries()) {
        const micros = ((wanted.sentUnits[place]! - wanted.sentUnits[0]!) * 1e6) / wanted.unitsPerSecond;
        expect(Math.abs(lines[n]!.micros - lines[0]!.micros - micros)).toBeLessThan(400);
      }
    },
  );

  test('compare finds the music as written, without the machine; and another song is another', async () => {
    const same = await answerOf(['compare', SONG, at('song.bin'), '--board', BOARD, '--json']);
    expect(same.code).toBe(0);
    expect(JSON.parse(same.stdout)).toMatchObject({ verdict: 'same' });
    expect((await answerOf(['compare', SONG, at('song.hex')])).code).toBe(0);
    expect((await answerOf(['compare', 'songs/night-ferry.mid', at('song.bin')])).code).toBe(1);
  });

  test('compare finds one key that is another, and one note that is missing', async () => {
    const scale = (changed: number): SongTrack =>
      Array.from(
        { length: 40 },
        (_, note): SongTrack => [
          [0, [0x90, note === changed ? 100 : 40 + note, 80]],
          [48, [0x80, note === changed ? 100 : 40 + note, 0]],
        ],
      ).flat();
    const written = put('scale.mid', songBytes([scale(-1)]));
    for (const [name, track] of [
      ['key', scale(20)],
      ['short', scale(-1).slice(0, -2)],
    ] as const) {
      const other = put(`${name}.mid`, songBytes([track]));
      await answerOf(['prepare', other, '--board', BOARD, '--out', at(`${name}.bin`)]);
      const ran = await answerOf(['compare', written, at(`${name}.bin`), '--json']);
      expect(ran.code).toBe(1);
      expect(JSON.parse(ran.stdout)).toMatchObject({ verdict: 'differs', isTheSong: true });
    }
  });

  test('check tells what is in it, and where it lies', async () => {
    const ran = await answerOf(['check', at('song.hex'), '--board', BOARD, '--json']);
    const report = JSON.parse(ran.stdout);
    expect(report).toMatchObject({ verdict: 'fits' });
    expect(report.song.title).toMatch(/^prepared for 4000h to /);
  });

  test('is never written over by preparing it, and fitting writes a song file', async () => {
    const over = await answerOf(['prepare', at('song.bin'), '--board', BOARD, '--out', at('song.bin')]);
    expect(over).toMatchObject({ code: 2, stdout: '' });
    expect(over.stderr).toMatch(/this is the file that is read/);
    expect(new Uint8Array(readFileSync(at('song.bin')))).toEqual(image);
    expect((await answerOf(['fit', at('song.bin'), '--out', at('fitted.mid')])).code).toBe(0);
    expect(readFileSync(at('fitted.mid')).toString('latin1', 0, 4)).toBe('MThd');
  });

  test('a recording of plain bytes is still one, whatever its name', async () => {
    const record = put('record.bin', Uint8Array.of(0x90, 60, 64, 0x80, 60, 0));
    const ran = await answerOf(['compare', SONG, record, '--json']);
    expect(ran.code).toBe(1);
    expect(ran.stderr).toBe('');
  });
});

describe('refused: one line, exit 2, nothing sent', () => {
  const changed = (place: number, value: number) => {
    const bytes = image.slice();
    bytes[place] = value;
    return bytes;
  };
  const board = (text: string) => put('board.toml', `out = { port = 1 }\n${text}`);
  const hexFile = (lines: (all: string[]) => string[]) => () =>
    put('odd.hex', lines(hexRecords(image, 0x4000, 32).split('\r\n')).join('\r\n'));

  test.each<[string, () => string, RegExp]>([
    ['a byte changed', () => put('a.bin', changed(900, image[900]! ^ 4)), /byte 8: its checksum is wrong/],
    ['cut', () => put('b.bin', image.subarray(0, 1000)), /byte 1000: it has 1000 bytes, and says/],
    ['another version', () => put('c.bin', changed(5, 9)), /byte 5: it is of version 9/],
    ['no prepared song', () => put('d.bin', new Uint8Array(500)), /this is no prepared song/],
    ['HEX with a record lost', hexFile((all) => all.toSpliced(20, 1)), /checksum is wrong/],
    ['HEX that is cut', hexFile((all) => all.slice(0, 12)), /odd\.hex:12: the end record is missing/],
    [
      'HEX with a digit changed',
      hexFile((all) => all.with(3, `${all[3]!.slice(0, 20)}0${all[3]!.slice(21)}`)),
      /odd\.hex:4: its checksum/,
    ],
    [
      'HEX at another address',
      () => put('e.hex', hexRecords(image, 0x5000, 32)),
      /records lie at 5000h, and it was made for 4000h/,
    ],
  ])('%s', async (_, file, words) => {
    for (const command of [['play', '--headless', '--clock', 'virtual'], ['check']]) {
      const ran = await answerOf([...command, file()]);
      expect(ran).toMatchObject({ code: 2, stdout: '' });
      expect(ran.stderr).toMatch(words);
      expect(ran.stderr.trimEnd().split('\n').at(-1)).toMatch(/^wirepit: /);
    }
    const ran = await answerOf(['compare', SONG, file(), '--board', BOARD]);
    expect(ran).toMatchObject({ code: 2, stdout: '' });
    expect(ran.stderr).toMatch(words);
    expect(ran.stderr.trimEnd().split('\n')).toHaveLength(1);
  });

  test('of a 6502 another clock is refused as well; its stack is in page 1 and needs no memory of the board', async () => {
    const file = at('65.bin');
    const on = (end: number, clock: number) =>
      put(
        'board65.toml',
        `cpu = "6502"\nclock-hz = ${clock}\nram = { from = 0x400, to = ${end} }\nout = { address = 0xC010 }\n`,
      );
    await answerOf(['prepare', SONG, '--board', on(0x4000, 1_000_000), '--out', file]);
    const end = 0x400 + readFileSync(file).length;
    expect(await answerOf(['check', file, '--board', on(end, 1_000_000)])).toMatchObject({ code: 0 });
    const short = await answerOf(['check', file, '--board', on(end - 1, 1_000_000)]);
    expect(short).toMatchObject({ code: 2, stdout: '' });
    expect(short.stderr).toMatch(/made for memory from 0400h to [0-9A-F]{4}h, and/);
    const faster = await answerOf(['check', file, '--board', on(0x4000, 2_000_000)]);
    expect(faster).toMatchObject({ code: 2, stdout: '' });
    expect(faster.stderr).toMatch(/made for 1 MHz, and .* has 2 MHz/);
    // The image fits its memory to the byte, and the advice counts as the board does.
    const exact = await answerOf(['prepare', SONG, '--board', on(end, 1_000_000), '--json']);
    expect(JSON.parse(exact.stdout)).toMatchObject({ fits: true, bytes: { free: 0 } });
  });

  test.each<[string, string | (() => string), RegExp]>([
    [
      'other memory',
      'cpu = "z80"\nclock-hz = 4_000_000\nram = { from = 0x2000, to = 0x4000 }',
      /made for memory from 4000h/,
    ],
    [
      'memory too short for the stack',
      () => `cpu = "z80"\nclock-hz = 4_000_000\nram = { from = 0x4000, to = ${0x4000 + image.length + 4} }`,
      /with its stack/,
    ],
    [
      'another clock',
      'cpu = "z80"\nclock-hz = 2_000_000\nram = { from = 0x4000, to = 0x8000 }',
      /made for 4 MHz, and .* has 2 MHz/,
    ],
  ])('a board with %s', async (_, text, words) => {
    const ran = await answerOf([
      'check',
      at('song.bin'),
      '--board',
      board(typeof text === 'string' ? text : text()),
    ]);
    expect(ran).toMatchObject({ code: 2, stdout: '' });
    expect(ran.stderr).toMatch(words);
    expect(ran.stderr.trimEnd().split('\n')).toHaveLength(1);
  });
});
