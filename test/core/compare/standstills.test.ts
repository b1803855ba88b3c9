import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { EVENT_LOG_HEAD, eventLogLine, eventLogRemark } from '../../../src/core/capture/event-log.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { comparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { readHeardFile } from '../../../src/core/compare/heard-file.ts';
import { HeardReader } from '../../../src/core/compare/heard-reader.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { LiveNews } from '../../../src/core/compare/live-words.ts';
import { renderComparison } from '../../../src/core/compare/render-comparison.ts';
import { heldUp, StandstillList, standstillWords } from '../../../src/core/compare/standstills.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { compareSong } from './compare-songs.ts';

const SONG = buildTimeline(readSong(compareSong()));
const NAMES = { song: 'song.mid', heard: 'stdin', faults: FAULT_NAMES };

interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** Every three seconds for 60 to 240 ms. */
function stretches(chunks: readonly TimedChunk[], seed: number): Stretch[] {
  const began = chunks[0]!.micros + 1_700_000 + 37_000 * seed;
  return Array.from({ length: 12 }, (_, n) => {
    const from = began + n * 3_000_000;
    return { from, to: from + 60_000 + ((n * 7 + seed) % 4) * 60_000 };
  });
}

/** As a listener stamps it that stands still meanwhile: what waited is read at once when it goes on. */
function heardStanding(chunks: readonly TimedChunk[], still: readonly Stretch[]): TimedChunk[] {
  return chunks.map((chunk) => {
    const within = still.find(({ from, to }) => chunk.micros > from && chunk.micros < to);
    return within === undefined ? chunk : { ...chunk, micros: within.to };
  });
}

function judged(chunks: readonly TimedChunk[], told: readonly Stretch[]) {
  const reader = new HeardReader(true);
  for (const { bytes, micros } of chunks) reader.feed(bytes, micros);
  for (const { from, to } of told) reader.stoodStill(from, to);
  return comparisonDocument('song.mid', 'stdin', SONG, compareMusic(SONG, reader.finish()), FAULT_NAMES);
}

describe('a listener that stood still', () => {
  test('does not blame the player for it, and says so; one that does not know it, would', () => {
    for (const seed of [1, 2, 3]) {
      const { chunks } = playHomeBuilt(SONG, ['none'], seed);
      const still = stretches(chunks, seed);
      const heard = heardStanding(chunks, still);
      const document = judged(heard, still);
      expect(document).toMatchObject({ verdict: 'same', causes: [], notes: { late: 0 } });
      expect(document.standstills.count).toBe(12);
      expect(document.standstills.longestMicros).toBe(240_000);
      expect(document.standstills.notes).toBeGreaterThan(3);
      expect(document.lateness!.maxMicros).toBeLessThan(20_000);
      expect(judged(heard, []).notes.late).toBeGreaterThan(0);
    }
  });

  test('bytes that were lost meanwhile are counted all the same', () => {
    const { chunks, arrived } = playHomeBuilt(SONG, ['none'], 2);
    const still = stretches(chunks, 2);
    const kept = chunks.filter(
      ({ micros, bytes }) =>
        bytes.length < 3 || !still.some(({ from, to }) => micros > from && micros < from + (to - from) / 2),
    );
    const { notes } = judged(heardStanding(kept, still), still);
    expect(arrived.size).toBe(480);
    expect(notes.missing).toBeGreaterThan(0);
    expect(notes.late).toBe(0);
  });

  test('a player that is late at other times is late', () => {
    const { chunks } = playHomeBuilt(SONG, ['none'], 3);
    const still = stretches(chunks, 3);
    const late = chunks.map((chunk, n) =>
      n % 97 === 50 ? { ...chunk, micros: chunk.micros + 45_000 } : chunk,
    );
    late.sort((a, b) => a.micros - b.micros);
    expect(judged(heardStanding(late, still), still).notes.late).toBeGreaterThan(0);
  });

  test('is told on the page, and to nobody else', () => {
    const { chunks } = playHomeBuilt(SONG, ['none'], 1);
    const page = (document: ReturnType<typeof judged>) =>
      renderComparison(document, { ascii: true, width: 200, lastBar: 9, clean: (text) => text }).join('\n');
    const still = stretches(chunks, 1);
    expect(page(judged(heardStanding(chunks, still), still))).toMatch(
      /wirepit itself stood still 12 times, 240\.0 ms at the longest: the lateness of \d+ notes heard then is not known/,
    );
    expect(page(judged(chunks, []))).not.toContain('stood still');
  });

  test('says while it listens that it did, and nothing against the player', () => {
    const { chunks } = playHomeBuilt(SONG, ['none'], 1);
    const still = stretches(chunks, 1);
    for (const limits of [undefined, { settleNotes: 60, keptMessages: 0 }]) {
      const live = new LiveComparison(SONG, NAMES, undefined, limits);
      const news = new LiveNews();
      const lines: string[] = [];
      let next = 0;
      let told = 0;
      for (const { bytes, micros } of heardStanding(chunks, still)) {
        for (; told < still.length && still[told]!.to <= micros; told += 1)
          live.stoodStill(still[told]!.from, still[told]!.to);
        live.feed(bytes, micros);
        if (micros < next) continue;
        next = micros + 1_000_000;
        lines.push(...news.take(live.look()));
      }
      expect(lines).toHaveLength(3);
      for (const line of lines) expect(line).toMatch(/^wirepit itself has stood still \d+ times?, \d/);
      const whole = live.whole();
      expect(whole).toMatchObject({ verdict: 'same', notes: { late: 0 } });
      expect(whole.standstills).toEqual(judged(heardStanding(chunks, still), still).standstills);
    }
  });
});

test('a log keeps it: `compare` reads the remark', () => {
  const { chunks } = playHomeBuilt(SONG, ['none'], 2);
  const still = stretches(chunks, 2);
  const rows = [
    ...chunks.map(({ micros, bytes }) => ({
      micros: heardStanding([{ micros, bytes }], still)[0]!.micros,
      bytes,
    })),
    ...still.map(({ from, to }) => ({ micros: to, length: to - from })),
  ].sort((a, b) => a.micros - b.micros);
  // What a log has are whole messages: this player's bytes may use running status, which its reader takes as well.
  const log = rows.map((row) =>
    'length' in row
      ? eventLogRemark(row.micros, 'stdin', standstillWords(row.length))
      : eventLogLine(row.micros, 'stdin', row.bytes),
  );
  const read = readHeardFile(new TextEncoder().encode(EVENT_LOG_HEAD + log.join('')));
  if (read.kind !== 'heard') throw new Error('not read');
  const { standstills } = read.music;
  expect(standstills.toMicros.length).toBe(12);
  for (const [n, { from, to }] of still.entries()) {
    expect(standstills.fromMicros[n]).toBeCloseTo(from, -2);
    expect(standstills.toMicros[n]).toBeCloseTo(to, -1);
  }
  expect(compareMusic(SONG, read.music).verdict).toBe('same');
});

test('a note is held up if it was stamped in a standstill or within 10 ms behind it, whatever the order', () => {
  const stretch = fc.record({ rest: fc.nat(60_000), length: fc.integer({ min: 1, max: 30_000 }) });
  fc.assert(
    fc.property(fc.array(stretch, { maxLength: 8 }), fc.array(fc.nat(200_000)), (some, times) => {
      const list = new StandstillList();
      let now = 0;
      const still = some.map(({ rest, length }) => {
        const from = now + rest;
        now = from + length;
        return { from, to: now };
      });
      for (const { from, to } of still) list.add(from, to);
      const all = list.all();
      const held = heldUp({ count: times.length, micros: Float64Array.from(times) }, all);
      for (const [n, at] of times.entries()) {
        // Those close together are one: none that was told is left out, and nothing far from all of them is in.
        if (still.some(({ from, to }) => from <= at && at <= to + 10_000)) expect(held[n]).toBe(1);
        if (!still.some(({ from, to }) => from - 20_000 <= at && at <= to + 20_000)) expect(held[n]).toBe(0);
      }
      for (let n = 1; n < all.toMicros.length; n += 1)
        expect(all.fromMicros[n]).toBeGreaterThan(all.toMicros[n - 1]!);
    }),
  );
});
