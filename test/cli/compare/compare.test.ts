import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type MidiEvent, writeMidi } from 'midi-file';
import { beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { CAUSE_CODES } from '../../../src/core/compare/cause.ts';
import { CAUSE_GUIDE } from '../../../src/core/compare/cause-guide.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { answerOf } from '../../support/command-line.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { songMessages } from '../../support/song-messages.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const SONG = 'songs/night-ferry.mid';
let folder: string;
beforeEach(() => {
  folder = tempFolder('compare');
});

const SCHEMA = z.strictObject({
  schema: z.literal('wirepit-compare/1'),
  song: z.string(),
  heard: z.string(),
  verdict: z.enum(['same', 'part', 'differs']),
  isTheSong: z.boolean(),
  notes: z.strictObject({
    song: z.int(),
    heard: z.int(),
    matched: z.int(),
    missing: z.int(),
    added: z.int(),
    changed: z.int(),
    late: z.int(),
    unheard: z.int(),
  }),
  span: z.strictObject({ fromBar: z.int(), toBar: z.int(), firstBar: z.int(), lastBar: z.int() }),
  offs: z.strictObject({ missing: z.int(), added: z.int() }),
  clock: z.strictObject({
    ppm: z.number().nullable(),
    ppmUncertainty: z.number().nullable(),
    law: z.enum(['tempo-map', 'first-tempo', 'tempo-120', 'tracks-in-turn', 'no-timing']),
    lostPerMessageMicros: z.number(),
  }),
  lateness: z
    .strictObject({
      p50Micros: z.int(),
      p99Micros: z.int(),
      maxMicros: z.int(),
      boundMaxMicros: z.int(),
      histogram: z.strictObject({ binMicros: z.number(), counts: z.array(z.int()) }),
    })
    .nullable(),
  standstills: z.strictObject({ count: z.int(), longestMicros: z.int(), notes: z.int() }),
  state: z.array(
    z.strictObject({
      channel: z.int(),
      what: z.string(),
      notes: z.int(),
      written: z.int(),
      heard: z.int().nullable(),
      bar: z.int(),
    }),
  ),
  sysEx: z.strictObject({
    song: z.int(),
    heard: z.int(),
    missing: z.int(),
    added: z.int(),
    changed: z.int(),
    early: z.int(),
    late: z.int(),
    leftOut: z.int(),
    unheard: z.int(),
    differences: z.array(
      z.strictObject({
        kind: z.enum(['missing', 'added', 'changed', 'early', 'late']),
        name: z.string(),
        bar: z.int(),
        beat: z.int(),
        seconds: z.number(),
        notes: z.int().nullable(),
        byte: z.int().nullable(),
        written: z.string().nullable(),
        heard: z.string().nullable(),
      }),
    ),
  }),
  faults: z.record(z.string(), z.int()),
  causes: z.array(
    z.strictObject({ code: z.enum(CAUSE_CODES), text: z.string(), evidence: z.string(), look: z.string() }),
  ),
  bars: z.array(
    z.strictObject({ bar: z.int(), missing: z.int(), added: z.int(), changed: z.int(), late: z.int() }),
  ),
  hanging: z.array(z.strictObject({ channel: z.int(), key: z.int(), seconds: z.number() })),
  differences: z.array(
    z.strictObject({
      kind: z.enum(['missing', 'added', 'changed']),
      what: z.enum(['note', 'channel', 'key', 'velocity']),
      bar: z.int(),
      beat: z.int(),
      channel: z.int(),
      note: z.string(),
      seconds: z.number(),
      heard: z.string().nullable(),
    }),
  ),
});

/** The song as wirepit itself plays it, in each form a recording can have. */
async function recorded(form: 'port' | 'log' | 'mid'): Promise<string> {
  const name = join(folder, `own.${form === 'port' ? 'txt' : form}`);
  const where = form === 'port' ? ['--port', `file:${name}`] : ['--record', name];
  await answerOf(['play', SONG, '--headless', '--clock', 'virtual', ...where]);
  return name;
}

const compare = async (heard: string, ...more: string[]) => against(SONG, heard, ...more);
const against = async (song: string, heard: string, ...more: string[]) => {
  const { stdout, code } = await answerOf(['compare', song, heard, '--json', ...more]);
  return { document: SCHEMA.parse(JSON.parse(stdout)), code };
};

describe('a recording of our own playing', () => {
  test.each(['port', 'log', 'mid'] as const)('is the same, exit 0: %s', async (form) => {
    const { document, code } = await compare(await recorded(form));
    expect(document).toMatchObject({ verdict: 'same', causes: [], differences: [], bars: [] });
    expect(code).toBe(0);
  });
});

describe('SysEx that matter to what sounds', () => {
  /** Written by an outside library: a reset, master volumes, one for all that is no one's own, and an inquiry. */
  function songWithSysEx(): string {
    const path = join(folder, 'sysex.mid');
    const sent: readonly (readonly number[])[] = [
      [0x7e, 0x7f, 0x09, 0x01, 0xf7],
      [0x7f, 0x7f, 0x04, 0x01, 0x00, 0x50, 0xf7],
      [0x7d, 0x01, 0x02, 0x03, 0xf7],
      [0x7e, 0x7f, 0x06, 0x01, 0xf7],
      [0x7f, 0x7f, 0x04, 0x01, 0x00, 0x60, 0xf7],
      [0x7d, 0x01, 0x02, 0x04, 0xf7],
      [0x7d, 0x01, 0x02, 0x05, 0xf7],
    ];
    const track: MidiEvent[] = sent.flatMap((data, n): MidiEvent[] => [
      { deltaTime: n === 0 ? 0 : 24, type: 'sysEx', data: [...data] },
      ...[0, 1, 2].flatMap((step): MidiEvent[] => [
        { deltaTime: 24, type: 'noteOn', channel: 0, noteNumber: 50 + 3 * n + step, velocity: 90 },
        { deltaTime: 72, type: 'noteOff', channel: 0, noteNumber: 50 + 3 * n + step, velocity: 64 },
      ]),
    ]);
    track.push({ deltaTime: 0, type: 'endOfTrack', meta: true });
    const header = { format: 0, numTracks: 1, ticksPerBeat: 96 } as const;
    writeFileSync(path, Uint8Array.from(writeMidi({ header, tracks: [track] })));
    return path;
  }
  const playInto = async (song: string, name: string, ...more: string[]) => {
    const path = join(folder, name);
    const where = name.endsWith('.txt') ? ['--port', `file:${path}`] : ['--record', path];
    await answerOf(['play', song, '--headless', '--clock', 'virtual', ...where, ...more]);
    return path;
  };

  test.each(['own.txt', 'own.log', 'own.mid'])(
    'of our own playing are the same, with and without leave for makers’ own: %s',
    async (name) => {
      const song = songWithSysEx();
      const held = await against(song, await playInto(song, name));
      expect(held.document).toMatchObject({
        verdict: 'same',
        sysEx: { song: 6, heard: 4, leftOut: 3, differences: [] },
      });
      const sent = await against(song, await playInto(song, `all-${name}`, '--allow-sysex'));
      expect(sent.document).toMatchObject({
        verdict: 'same',
        sysEx: { song: 6, heard: 7, leftOut: 0, unheard: 0, differences: [] },
      });
    },
  );

  test('begun in mid-song, and prepared for a small machine, none is missing', async () => {
    const song = songWithSysEx();
    const late = await against(song, await playInto(song, 'late.txt', '--from', '3', '--allow-sysex'));
    expect(late.document.sysEx).toMatchObject({ differences: [], leftOut: 0, unheard: 0 });
    const image = join(folder, 'prepared.bin');
    await answerOf(['prepare', song, '--board', 'docs/boards/lantern-80.toml', '--out', image]);
    const { document } = await against(song, image);
    expect(document).toMatchObject({ verdict: 'same', sysEx: { heard: 4, differences: [] } });
  });

  test('one that is lost is told on the page, exit 1', async () => {
    const song = songWithSysEx();
    const path = await playInto(song, 'lost.txt');
    const lines = readFileSync(path, 'utf8').split('\n');
    writeFileSync(path, lines.filter((line) => !line.endsWith('7F 7F 04 01 00 60 F7')).join('\n'));
    const { stdout, code } = await answerOf(['compare', song, path]);
    expect(code).toBe(1);
    expect(stdout).toMatch(
      /^SysEx +6 written, 3 heard: 1 missing, 0 added, 0 changed, 0 early, 0 late\n +4:2 \(0:0\d\) Master Volume is missing/m,
    );
  });
});

test('plain bytes have no times: the same by their order, and neither clock nor lateness', async () => {
  const path = join(folder, 'plain.bin');
  writeFileSync(path, Buffer.concat(songMessages(readFileSync(SONG))));
  const { document, code } = await compare(path);
  expect(document).toMatchObject({
    verdict: 'same',
    lateness: null,
    clock: { ppm: null, ppmUncertainty: null },
  });
  expect(code).toBe(0);
});

test('--within says what is late: 35 ms are, and are not where 50 are allowed; exit 1 and 0', async () => {
  const path = join(folder, 'late.txt');
  const lines = readFileSync(await recorded('port'), 'utf8').split('\n');
  const ons = lines.flatMap((line, n) => (/^[\d.]+ 9\S \S+ (?!00)/.test(line) ? [n] : []));
  // All of a late note's neighbours stay where they are.
  const late = ons[Math.floor(ons.length / 2)]!;
  const [micros, ...bytes] = lines[late]!.split(' ');
  lines.splice(late, 1);
  const at = Number(micros) + 35_000;
  const behind = lines.findIndex((line) => Number(line.split(' ')[0]) > at);
  lines.splice(behind, 0, [at, ...bytes].join(' '));
  writeFileSync(path, lines.join('\n'));
  const strict = await compare(path);
  expect(strict.document).toMatchObject({ verdict: 'differs', notes: { late: 1, missing: 0, added: 0 } });
  expect(strict.code).toBe(1);
  const allowed = await compare(path, '--within', '50');
  expect(allowed.document).toMatchObject({ verdict: 'same', notes: { late: 0 } });
  expect(allowed.code).toBe(0);
});

describe('a player at fault', () => {
  test('exit 1; the page names the cause, what to look at and the bars', async () => {
    const timeline = buildTimeline(readSong(readFileSync(SONG)));
    const path = join(folder, 'lost.txt');
    const { chunks } = playHomeBuilt(timeline, ['bytes-lost'], 2);
    const hex = (bytes: Uint8Array) =>
      Buffer.from(bytes)
        .toString('hex')
        .replace(/..(?=.)/g, '$& ');
    writeFileSync(path, chunks.map(({ micros, bytes }) => `${micros.toFixed(1)} ${hex(bytes)}\n`).join(''));
    const { document, code } = await compare(path);
    expect(code).toBe(1);
    expect(document.causes[0]?.code).toBe('bytes-lost');
    const { stdout } = await answerOf(['compare', SONG, path]);
    expect(stdout).toContain('Differs.');
    expect(stdout).toContain(CAUSE_GUIDE['bytes-lost'].text);
    expect(stdout).toMatch(/First differences:\n {2}\d+:\d/);
    expect(stdout.split('\n').every((line) => line.length <= 80)).toBe(true);
  });
});

test('a recording that ends early: how far it goes, no bytes lost, and a clock that cannot be told is not', async () => {
  const path = join(folder, 'short.txt');
  const whole = readFileSync(await recorded('port'), 'utf8').split('\n');
  writeFileSync(path, whole.slice(0, 40).join('\n'));
  const { document, code } = await compare(path);
  expect(code).toBe(1);
  expect(document).toMatchObject({ verdict: 'part', causes: [], bars: [], span: { fromBar: 1 } });
  expect(document.clock.ppm).toBeNull();
  const { stdout } = await answerOf(['compare', SONG, path]);
  expect(stdout).toMatch(/^ +heard: bars 1 to \d of 1 to 2\d$/m);
  expect(stdout).toMatch(/^time +by the song's tempo map; too little to tell the clock/m);
});

describe('what cannot be compared is refused: one line, exit 2', () => {
  test.each<[string, string, RegExp]>([
    ['broken.txt', '0 90 3C 40\n5 zz\n7 90 3C 00\n', /broken\.txt:2: this line is no record of bytes/],
    ['empty.txt', '# wirepit file port 1\n', /there is no MIDI message in it/],
    ['cut.mid', 'MThd', /byte/],
  ])('%s', async (name, text, wanted) => {
    const path = join(folder, name);
    writeFileSync(path, text);
    const { stderr, code } = await answerOf(['compare', SONG, path]);
    expect(stderr).toMatch(wanted);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect(code).toBe(2);
  });
});

test.each<[readonly string[], RegExp]>([
  [[SONG, 'nowhere.log'], /nowhere\.log/],
  [['nowhere.mid', SONG], /nowhere\.mid/],
  [['README.md', SONG], /README\.md/],
  [[SONG, SONG, '--within', 'soon'], /--within/],
  [[SONG, SONG, '--within', '-1'], /--within/],
])('%j is refused in one line with exit 2', async (args, wanted) => {
  const { stdout, stderr, code } = await answerOf(['compare', ...args]);
  expect(stderr).toMatch(wanted);
  expect(stderr.trim().split('\n')).toHaveLength(1);
  expect(stdout).toBe('');
  expect(code).toBe(2);
});

test('docs/compare.md explains every cause in the words of the program, and docs/compare-json.md every field', () => {
  const page = readFileSync('docs/compare.md', 'utf8');
  for (const code of CAUSE_CODES)
    expect(page).toContain(`| \`${code}\` | ${CAUSE_GUIDE[code].text} | ${CAUSE_GUIDE[code].look} |`);
  const fields = readFileSync('docs/compare-json.md', 'utf8');
  for (const field of Object.keys(SCHEMA.shape)) expect(fields).toContain(`\`${field}`);
});
