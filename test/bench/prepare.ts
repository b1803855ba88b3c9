/**
 * Songs for a small machine: sizes, what fits how many kilobytes, lateness of every song by the player's own account at
 * several clocks, and an emulated run of every eighth song (of every song that fits with `WIREPIT_BENCH_FULL`, which
 * takes an hour). All but the time it takes to prepare is computed: the same on every machine.
 */
import { verifySong } from '../../src/board/verify-song.ts';
import { COMPARE_DEFAULTS, compareMusic } from '../../src/core/compare/compare-music.ts';
import { heardFromChunks } from '../../src/core/compare/hear.ts';
import { chunksOfImage } from '../../src/core/export/image-song.ts';
import { IMAGE_HEAD } from '../../src/core/export/player/image.ts';
import { playerCodeFor } from '../../src/core/export/player/player-code.ts';
import type { PlayerMachine } from '../../src/core/export/player/player-machine.ts';
import { type PreparedSong, prepareSong } from '../../src/core/export/prepare-song.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import { debianSongs, npmSongs } from '../support/package-songs.ts';
import { recordBench } from './bench-record.ts';
import { denseSong } from './dense-song.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { tapeGoals } from './prepare/tape-goals.ts';
import { type Yardsticks, yardsticksOf } from './prepare/yardsticks.ts';
import { printTable } from './print-table.ts';

/** As much memory as there is, so that every song can be sized and played. */
const MACHINE: PlayerMachine = {
  cpu: 'z80',
  clockHz: 4_000_000,
  from: 0x100,
  to: 0x1_0000,
  out: 0x10,
  repeat: false,
};
/** Where a page begins in the player's middle: the room between its blocks is counted. */
const MACHINE_6502: PlayerMachine = {
  cpu: '6502',
  clockHz: 1_000_000,
  from: 0x280,
  to: 0xff00,
  out: 0xff10,
  zeroPage: 0xe0,
  repeat: false,
};
/** Reserved for player and stack where songs are counted that fit. */
const RESERVED = 700;
const KILOBYTES = [8, 16, 32, 48];
/** Of so many songs one is run on the emulated processor. */
const EMULATED = 8;

export async function run(): Promise<void> {
  const every = process.env.WIREPIT_BENCH_FULL === undefined ? EMULATED : 1;
  const sources = [...debianSongs(), ...npmSongs()];
  const songs: { name: string; fileBytes: number; timeline: Timeline }[] = [];
  for (const { name, bytes } of sources) {
    const timeline = buildTimeline(readSong(bytes));
    if (timeline.columns.count > 0)
      songs.push({ name: name.split('/').at(-1)!, fileBytes: bytes.length, timeline });
  }
  const goals: Goal[] = [];
  const figures: Record<string, unknown>[] = [];
  const sizes: number[] = [];
  const ratios: number[] = [];
  const millis: number[] = [];
  const yardsticks: (Yardsticks & { readonly ours: number; readonly fileBytes: number })[] = [];
  let gridError = 0;
  let different = 0;
  for (const [cpu, clockHz, name, atMost] of [
    ['z80', 2_000_000, '2MHz', 1],
    ['z80', 4_000_000, '4MHz', 0.3],
    ['6502', 1_000_000, '6502-1MHz', 3],
    ['6502', 2_000_000, '6502-2MHz', 1.5],
  ] as const) {
    const machine = cpu === 'z80' ? { ...MACHINE, clockHz } : { ...MACHINE_6502, clockHz };
    let late = 0;
    let unread = 0;
    let unequal = 0;
    let account = 0;
    let stray = 0;
    let proved = 0;
    let gap = Number.POSITIVE_INFINITY;
    let judged = 0;
    for (const [at, song] of songs.entries()) {
      const begin = performance.now();
      const prepared = prepare(song.timeline, machine);
      const took = performance.now() - begin;
      if (prepared === undefined) {
        if (clockHz === 4_000_000) sizes.push(Number.POSITIVE_INFINITY);
        continue;
      }
      late = Math.max(late, prepared.worstLateMicros / 1000);
      gridError = Math.max(gridError, prepared.gridErrorMaxMicros / 1000);
      judged += 1;
      if (Buffer.compare(prepared.played.bytes, prepared.wireBytes) !== 0) unread += 1;
      const verified = at % every === 0 ? (await verifySong(prepared, machine))! : null;
      if (verified !== null) {
        proved += 1;
        if (verified.equal !== verified.bytes) unequal += 1;
        account = Math.max(account, verified.accountCycles);
        stray += verified.strayAccesses;
        gap = Math.min(gap, verified.shortestGapMicros);
        late = Math.max(late, verified.worstLateMicros / 1000);
      }
      if (clockHz !== 4_000_000) continue;
      const heard = heardFromChunks(chunksOfImage(prepared.played));
      const comparison = compareMusic(song.timeline, heard, {
        ...COMPARE_DEFAULTS,
        expected: ['timer-tick'],
      });
      if (comparison.verdict === 'differs') different += 1;
      const { image } = prepared;
      sizes.push(image.streamBytes + tableBytes(prepared));
      ratios.push((image.streamBytes + tableBytes(prepared)) / song.fileBytes);
      millis.push(took);
      const stepUnits = (prepared.gridMicros * prepared.played.unitsPerSecond) / 1_000_000;
      yardsticks.push({
        ...yardsticksOf(prepared, stepUnits),
        ours: sizes.at(-1)!,
        fileBytes: song.fileBytes,
      });
      figures.push({
        name: song.name,
        fileBytes: song.fileBytes,
        bytes: sizes.at(-1),
        lateMicros: prepared.worstLateMicros,
        verified,
      });
    }
    process.stdout.write(
      `${name}: ${judged} songs by the player's account, ${proved} of them run on the emulated processor${every === 1 ? '' : ` (every ${every}th; WIREPIT_BENCH_FULL=1 runs all)`}\n`,
    );
    goals.push(
      { name: `prepare-songs-read-back-unequal-${name}`, value: unread, atMost: 0 },
      { name: `prepare-songs-unequal-${name}`, value: unequal, atMost: 0 },
      { name: `prepare-late-worst-${name}`, value: late, atMost, unit: 'ms' },
      { name: `prepare-account-off-${name}`, value: account, atMost: 1, unit: 'cycles' },
      { name: `prepare-accesses-outside-${name}`, value: stray, atMost: 0 },
      { name: `prepare-shortest-gap-${name}`, value: gap, atLeast: 320, unit: 'us' },
    );
  }
  const fitting = KILOBYTES.map((kilo) => sizes.filter((size) => size + RESERVED <= kilo * 1024).length);
  printTable(
    ['songs', ...KILOBYTES.map((kilo) => `fit ${kilo} KB`), 'median bytes'],
    [[songs.length, ...fitting, Math.round(median(sizes))]],
  );
  printYardsticks(yardsticks);
  // The goal's counts are of 239 songs; here as many are there as are there, so in the same proportion.
  for (const [at, least] of [176, 210, 231, 233].entries())
    goals.push({
      name: `prepare-songs-that-fit-${KILOBYTES[at]}KB`,
      value: (100 * fitting[at]!) / songs.length,
      atLeast: (100 * least) / 239,
      unit: '%',
    });
  const begin = performance.now();
  prepareDense();
  goals.push(
    { name: 'prepare-played-back-different', value: different, atMost: 0 },
    { name: 'prepare-grid-error-worst', value: gridError, atMost: 2.7, unit: 'ms' },
    { name: 'prepare-size-median-of-file', value: median(ratios), atMost: 0.27 },
    {
      name: 'prepare-player-code-z80',
      value: playerBytes(MACHINE),
      atMost: 450,
      unit: 'B',
    },
    { name: 'prepare-player-code-6502', value: playerBytes(MACHINE_6502), atMost: 500, unit: 'B' },
    { name: 'prepare-a-song-median', value: median(millis) / 1000, atMost: 2, unit: 's' },
    { name: 'prepare-100000-events', value: (performance.now() - begin) / 1000, atMost: 10, unit: 's' },
  );
  goals.push(...tapeGoals());
  recordBench('prepare', { songs: figures, yardsticks, goals: printGoals(goals) });
}

/** What was measured on the 239 songs that the goals come from: its packer's median and zlib's, of the song file. */
const ELSEWHERE = { ours: 0.267, zlib: 0.212 } as const;

/** Those songs were others: what a packer with a window makes of these says how well they pack at all. */
function printYardsticks(songs: readonly (Yardsticks & { ours: number; fileBytes: number })[]): void {
  printTable(
    [
      'packed by',
      'median bytes',
      'median of the song file',
      'ours by it',
      ...KILOBYTES.map((kilo) => `fit ${kilo} KB`),
    ],
    (['ours', 'plain', 'zlib', 'brotli'] as const).map((by) => [
      by,
      Math.round(median(songs.map((song) => song[by]))),
      median(songs.map((song) => song[by] / song.fileBytes)).toFixed(3),
      median(songs.map((song) => song.ours / song[by])).toFixed(3),
      ...KILOBYTES.map((kilo) => songs.filter((song) => song[by] + RESERVED <= kilo * 1024).length),
    ]),
  );
  const ofFile = (by: 'ours' | 'zlib') => median(songs.map((song) => song[by] / song.fileBytes));
  process.stdout.write(
    `ours ${(ofFile('ours') / ofFile('zlib')).toFixed(2)} times zlib's median; where the goals were measured ${(ELSEWHERE.ours / ELSEWHERE.zlib).toFixed(2)} times, of songs that zlib packs to ${ELSEWHERE.zlib} and these to ${ofFile('zlib').toFixed(3)}\n`,
  );
}

function prepare(timeline: Timeline, machine: PlayerMachine): PreparedSong | undefined {
  try {
    return prepareSong(timeline, {}, machine);
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Tables belong to the song: another one has others. */
function tableBytes({ image }: PreparedSong): number {
  const code = codeBytes(image);
  return image.playerBytes - code - (image.codeAddress - image.loadAddress);
}

/** Past 64 KB in any case: what is timed is the packing, which then says so. */
function prepareDense(): void {
  const columns = denseSong(100_000);
  const { tempoMap } = buildTimeline(readSong(npmSongs()[0]!.bytes));
  const durationMicros = columns.micros[columns.count - 1]!;
  try {
    prepareSong({ columns, tempoMap, durationMicros }, {}, MACHINE);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
  }
}

/** Head and code with a ready bit, a key and a song that repeats, wherever in a page it begins. */
function playerBytes(plain: PlayerMachine): number {
  const none = new Proxy({}, { get: () => 0 }) as Record<string, number>;
  const bit = { at: 0x11, mask: 1, isLow: true };
  const machine = { ...plain, ready: bit, stop: bit, repeat: true };
  const sizes = Array.from(
    { length: 0x100 },
    (_, at) => playerCodeFor(machine, 0x2000 + at).assemble(none).bytes.length,
  );
  return Math.max(...sizes) + IMAGE_HEAD.size;
}

function codeBytes(image: PreparedSong['image'], machine = MACHINE): number {
  return playerCodeFor(machine, image.codeAddress).assemble(image.symbols).bytes.length;
}

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
}
