import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { CAUSE_CODES } from '../../../src/core/compare/cause.ts';
import { type CompareOptions, compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromBytes, heardFromChunks } from '../../../src/core/compare/hear.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { seeded } from '../../support/seeded.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';

const BYTE_MICROS = 320;

/** Forty quarters of half a second (division 96), each a note of a quarter less a tick, after a set-up of the channel. */
function plainSong(keysAtOnce = 1) {
  const events: DeltaEvent[] = [
    [0, [0xc0, 5]],
    [0, [0xb0, 7, 90]],
    [0, [0xb0, 20, 3]],
    [0, [0xe0, 0, 64]],
  ];
  for (let n = 0; n < 40; n += 1) {
    const keys = Array.from({ length: keysAtOnce }, (_, k) => 30 + ((n * 5 + k) % 60));
    for (const [k, key] of keys.entries())
      events.push([k === 0 && n > 0 ? 1 : 0, [0x90, key, 60 + (n % 40)]]);
    for (const [k, key] of keys.entries()) events.push([k === 0 ? 95 : 0, [0x80, key, 64]]);
  }
  return buildTimeline(readSong(songBytes([events])));
}

/** As a faultless player sends it over the wire, in the order of its file. */
function played(song: ReturnType<typeof plainSong>): TimedChunk[] {
  const { columns } = song;
  let free = 0;
  return Array.from({ length: columns.count }, (_, row) => {
    const status = columns.status[row]!;
    const bytes = [status, columns.data1[row]!, columns.data2[row]!].slice(
      0,
      (status & 0xe0) === 0xc0 ? 2 : 3,
    );
    const micros = Math.max(free, columns.micros[row]! + 1_000_000);
    free = micros + bytes.length * BYTE_MICROS;
    return { micros, bytes: Uint8Array.from(bytes) };
  });
}

const SONG = plainSong();
const isStrike = ({ bytes }: TimedChunk) => bytes[0] === 0x90;
const judged = (chunks: readonly TimedChunk[], options?: CompareOptions, song = SONG) =>
  compareMusic(song, heardFromChunks(chunks), options);
/** The same with the bytes of one message changed. */
const changed = (is: (chunk: TimedChunk) => boolean, bytes: readonly number[]) =>
  played(SONG).map((chunk) => (is(chunk) ? { ...chunk, bytes: Uint8Array.from(bytes) } : chunk));
const strike = (number: number) => played(SONG).filter(isStrike)[number]!;

test('the causes there are, by the codes that programs read', () => {
  expect([...CAUSE_CODES].sort()).toEqual(
    [
      'no-timing',
      'tempo-ignored',
      'clock-rate',
      'bytes-lost',
      'running-status-over-sysex',
      'running-status-across-tracks',
      'velocity-zero',
      'tracks-in-turn',
      'timer-tick',
      'slow-chords',
      'slow-adds-up',
      'file-running-status',
      'sysex-unended',
    ].sort(),
  );
});

describe('what matters to the sound is judged', () => {
  test('as written it is the same', () => {
    expect(judged(played(SONG))).toMatchObject({ verdict: 'same', state: [], hanging: [], causes: [] });
  });

  test.each<[string, number, readonly number[], object]>([
    ['a program', 0xc0, [0xc0, 6], { what: 'program', written: 5, heard: 6 }],
    ['a volume', 0xb0, [0xb0, 7, 9], { what: 7, written: 90, heard: 9 }],
    ['a bend', 0xe0, [0xe0, 0, 96], { what: 'bend', heard: 96 * 128 }],
  ])('%s that is another one is told once, with the notes it touches', (_, status, bytes, wanted) => {
    const { verdict, state, notes } = judged(
      changed((one) => one.bytes[0] === status && one.bytes[1] !== 20, bytes),
    );
    expect(verdict).toBe('differs');
    expect(state).toMatchObject([{ channel: 0, notes: 40, ...wanted }]);
    expect(notes.length).toBe(0);
  });

  test('what is never set is told, and what may have been set before the recording began is not', () => {
    const without = played(SONG).filter(({ bytes }) => bytes[0] !== 0xc0);
    // The first note stands at the same moment.
    const never = [{ channel: 0, what: 'program', notes: 39, written: 5, heard: undefined }];
    expect(judged(without).state).toMatchObject(never);
    // Begun with the song, as a volume says that stands beside it.
    const { micros } = without[0]!;
    const begun = without.map((chunk) => ({ ...chunk, micros: chunk.micros - micros }));
    expect(judged(begun).state).toMatchObject(never);
    const plain = (chunks: readonly TimedChunk[]) =>
      compareMusic(SONG, heardFromBytes(Uint8Array.from(chunks.flatMap(({ bytes }) => [...bytes])))).state;
    expect(plain(without)).toMatchObject(never);
    // From the tenth note on, listened to for no longer than that.
    const mid = played(SONG).slice(24);
    const late = mid.map((chunk) => ({ ...chunk, micros: chunk.micros - mid[0]!.micros + 100_000 }));
    expect(judged(late).state).toEqual([]);
    expect(plain(mid)).toEqual([]);
  });

  test('a controller that colours nothing is nobody’s business', () => {
    expect(judged(changed((one) => one.bytes[1] === 20, [0xb0, 20, 99])).verdict).toBe('same');
  });

  test('a note that is never let go: one release is missing, and its key hangs', () => {
    const off = played(SONG).findLastIndex(({ bytes }) => bytes[0] === 0x80);
    const { verdict, offsMissing, hanging } = judged(played(SONG).filter((_, n) => n !== off));
    expect(verdict).toBe('differs');
    expect(offsMissing).toBe(1);
    expect(hanging).toMatchObject([{ channel: 0, key: played(SONG)[off]!.bytes[1] }]);
  });
});

describe('lateness', () => {
  const late = (micros: number) =>
    played(SONG).map((chunk) =>
      chunk.micros === strike(20).micros ? { ...chunk, micros: chunk.micros + micros } : chunk,
    );

  test('--within says what counts as late', () => {
    expect(judged(late(30_000), { withinMicros: 20_000 })).toMatchObject({
      verdict: 'differs',
      lateNotes: [20],
    });
    expect(judged(late(30_000), { withinMicros: 40_000 })).toMatchObject({ verdict: 'same', lateNotes: [] });
    expect(judged(late(15_000), { withinMicros: 20_000 }).lateNotes).toEqual([]);
    expect(judged(late(15_000), { withinMicros: 10_000 }).lateNotes).toEqual([20]);
  });

  test('a full wire is not blamed on the player, however long its chords wait', () => {
    const full = plainSong(40);
    const { verdict, lateNotes, lateness, boundMaxMicros } = judged(
      played(full),
      { withinMicros: 1000 },
      full,
    );
    // The last of 40 notes waits for 39 of three bytes of 320 µs.
    expect(lateness.maxMicros).toBeGreaterThan(30_000);
    expect(boundMaxMicros).toBeGreaterThan(20_000);
    expect(lateNotes).toEqual([]);
    expect(verdict).toBe('same');
  });
});

describe('hostile recordings, while they come in', () => {
  const NAMES = { song: '', heard: '', faults: FAULT_NAMES };

  test.each<[string, (chance: () => number, n: number) => number[]]>([
    ['one key, again and again', () => [0x90, 60, 100]],
    ['random bytes', (chance) => Array.from({ length: 3 }, () => Math.floor(chance() * 256))],
    ['notes of any kind', (chance) => [0x90 | Math.floor(chance() * 16), Math.floor(chance() * 128), 64]],
  ])('%s: looked at and judged, with no more kept than is allowed', (_, bytes) => {
    const chance = seeded(5);
    const live = new LiveComparison(SONG, NAMES, undefined, { settleNotes: 30, keptMessages: 2000 });
    let most = 0;
    for (let n = 0; n < 12_000; n += 1) {
      live.feed(Uint8Array.from(bytes(chance, n)), n * 1000);
      if (n % 400 !== 399) continue;
      live.look();
      most = Math.max(most, live.heldMessages);
    }
    const whole = live.whole();
    expect(whole.verdict).toBe('differs');
    expect(whole.notes.matched).toBeLessThanOrEqual(40);
    // Four times what is settled at once, twenty messages a note, and what came since the last look: of 24,000 and more.
    expect(most).toBeLessThan(4 * 20 * 30 + 2000 + 4 * 400);
  });
});
