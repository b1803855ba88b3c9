import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { isClockKnown } from '../../../src/core/compare/clock-fit.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromBytes, heardFromChunks } from '../../../src/core/compare/hear.ts';
import { songPart } from '../../../src/core/compare/song-part.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, songBytes, sysEx, tempo } from '../../support/song-bytes.ts';
import { songMessages } from '../../support/song-messages.ts';
import { compareSong } from './compare-songs.ts';

const timelineOf = (bytes: Uint8Array) => buildTimeline(readSong(bytes));

const SONG = timelineOf(compareSong());
const judge = (faults: readonly PlayerFault[], seed = 5) =>
  compareMusic(SONG, heardFromChunks(playHomeBuilt(SONG, faults, seed).chunks));
const codes = ({ causes }: ReturnType<typeof compareMusic>) => causes.map(({ code }) => code);

describe('a recording that is sound', () => {
  test('is the same, accused of nothing, whenever it begins and however its receiver jitters', () => {
    for (const seed of [1, 2, 3, 4])
      expect(judge(['none'], seed)).toMatchObject({
        verdict: 'same',
        causes: [],
        lateNotes: [],
        notes: { length: 0 },
      });
  });

  test('its clock is found to three parts in a million, and no worse than is said', () => {
    for (const seed of [1, 2, 3]) {
      const { ppm, chunks } = playHomeBuilt(SONG, ['clock-rate'], seed);
      const { clock } = compareMusic(SONG, heardFromChunks(chunks));
      const off = Math.abs((clock.line.rate - 1) * 1e6 - ppm);
      expect(off).toBeLessThan(3);
      expect(off).toBeLessThan(3e6 * clock.line.rateError);
    }
  });

  test('however short, it is accused of nothing; its clock is told where that can be, and then no worse than is said', () => {
    fc.assert(
      fc.property(fc.integer({ min: 300, max: 9000 }), fc.nat(9), (millis, seed) => {
        const part = songPart(SONG, 0, millis * 1000);
        const { ppm, chunks } = playHomeBuilt(part, ['none'], seed);
        const found = compareMusic(part, heardFromChunks(chunks));
        expect(codes(found)).toEqual([]);
        const { line } = found.clock;
        if (isClockKnown(found.clock))
          expect(Math.abs((line.rate - 1) * 1e6 - ppm)).toBeLessThan(5e6 * line.rateError);
        else expect(millis).toBeLessThan(6000);
      }),
      { numRuns: 40 },
    );
  });

  test('a track that follows another in the song itself is not one that is played in turn', () => {
    const notes = (rest: number, channel: number): DeltaEvent[] =>
      Array.from({ length: 30 }, (_, n): DeltaEvent[] => [
        [n === 0 ? rest : 30, [0x90 | channel, 50 + (n % 12), 90]],
        [30, [0x80 | channel, 50 + (n % 12), 64]],
      ]).flat();
    const song = timelineOf(songBytes([[[0, tempo(700_000)], ...notes(0, 0)], notes(2000, 1)]));
    const { chunks } = playHomeBuilt(song, ['none'], 4);
    expect(compareMusic(song, heardFromChunks(chunks))).toMatchObject({ verdict: 'same', causes: [] });
    expect(
      codes(compareMusic(song, heardFromChunks(playHomeBuilt(song, ['tracks-in-turn'], 4).chunks))),
    ).toEqual(['tracks-in-turn']);
  });
});

describe('each fault of a home-built player is named first', () => {
  test.each<PlayerFault>([
    'no-timing',
    'tempo-ignored',
    'clock-rate',
    'bytes-lost',
    'running-status-across-tracks',
    'velocity-zero',
    'tracks-in-turn',
    'timer-tick',
    'slow-chords',
    'slow-adds-up',
    'file-running-status',
    'sysex-unended',
  ])('%s', (fault) => {
    const found = judge([fault]);
    expect(found.isTheSong).toBe(true);
    expect(codes(found)[0]).toBe(fault);
  });

  test('running status kept over SysEx', () => {
    const running = timelineOf(
      songBytes([
        Array.from({ length: 90 }, (_, n): DeltaEvent[] => [
          [24, [0x90, 50 + (n % 20), 100]],
          ...(n % 6 === 5 ? [[0, sysEx([0xf0, 0x7f, 0x7f, 0x04, 0x01, 0, 99, 0xf7])] as DeltaEvent] : []),
          [24, [0x90, 50 + (n % 20), 0]],
        ]).flat(),
        // Another channel now and then: its status ends what was lost.
        Array.from({ length: 30 }, (_, n): DeltaEvent[] => [
          [n === 0 ? 20 : 120, [0x91, 40, 90]],
          [24, [0x81, 40, 64]],
        ]).flat(),
      ]),
    );
    const { chunks } = playHomeBuilt(running, ['running-status-over-sysex'], 3);
    expect(codes(compareMusic(running, heardFromChunks(chunks)))[0]).toBe('running-status-over-sysex');
  });

  test('a SysEx whose F0 is lost: its bytes are stray up to their F7, and no running status was kept over anything', () => {
    const { chunks } = playHomeBuilt(SONG, ['none'], 5);
    const place = chunks.findIndex(({ bytes }) => bytes[0] === 0xf0);
    const lost = chunks.with(place, { ...chunks[place]!, bytes: chunks[place]!.bytes.slice(1) });
    expect(codes(compareMusic(SONG, heardFromChunks(lost)))).toEqual(['bytes-lost']);
    // Right behind another SysEx as well.
    const twice = lost.toSpliced(place, 0, { ...chunks[place]! });
    expect(codes(compareMusic(SONG, heardFromChunks(twice)))).toEqual(['bytes-lost']);
  });

  test('a status byte lost behind a SysEx, and bytes elsewhere, are bytes lost', () => {
    const { chunks } = playHomeBuilt(SONG, ['none'], 5);
    const behind = 1 + chunks.findIndex(({ bytes }) => bytes[0] === 0xf0);
    const lost = (from: number, to: number) => (chunk: TimedChunk, n: number) =>
      n < from || n >= to ? chunk : { ...chunk, bytes: chunk.bytes.slice(1) };
    expect(codes(compareMusic(SONG, heardFromChunks(chunks.map(lost(behind, behind + 1)))))).toEqual([
      'running-status-over-sysex',
    ]);
    const elsewhere = chunks.flatMap((chunk, n) => {
      const isCut = n % 90 === 40 && chunk.bytes.length === 3;
      return [lost(behind, behind + 1)(isCut ? { ...chunk, bytes: chunk.bytes.slice(0, 2) } : chunk, n)];
    });
    expect(codes(compareMusic(SONG, heardFromChunks(elsewhere)))).toEqual(['bytes-lost']);
  });

  test('two at once', () => {
    expect(codes(judge(['bytes-lost', 'clock-rate'])).toSorted()).toEqual(['bytes-lost', 'clock-rate']);
  });

  test('a player that ignores tempo, plays in turn, or loses time has lost no note and added none', () => {
    for (const fault of ['tempo-ignored', 'tracks-in-turn', 'slow-adds-up', 'slow-chords'] as const) {
      expect([...judge([fault]).notes]).toEqual([]);
    }
  });
});

describe('bytes without times', () => {
  test('are judged by their order', () => {
    const { chunks } = playHomeBuilt(SONG, ['none'], 8);
    const bytes = Uint8Array.from(chunks.flatMap((chunk) => [...chunk.bytes]));
    const found = compareMusic(SONG, heardFromBytes(bytes));
    expect(found).toMatchObject({ verdict: 'same', causes: [] });
    const without = bytes.slice(0, bytes.length - 30);
    expect(compareMusic(SONG, heardFromBytes(without)).notes.missing).toBeGreaterThan(0);
  });
});

test('what came all at once is judged by its order, however a driver cut and stamped it', () => {
  const song = readFileSync('songs/night-ferry.mid');
  const timeline = timelineOf(song);
  const messages = songMessages(song);
  const ons = messages.flatMap((bytes, n) => ((bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0 ? [n] : []));
  const piece = fc.record({ length: fc.integer({ min: 1, max: 400 }), pause: fc.nat(300) });
  fc.assert(
    fc.property(fc.nat(ons.length - 1), fc.array(piece, { minLength: 1, maxLength: 40 }), (lost, pieces) => {
      const bytes = Uint8Array.from(messages.filter((_, n) => n !== ons[lost]).flatMap((one) => [...one]));
      const chunks: TimedChunk[] = [];
      let micros = 0;
      for (let at = 0, n = 0; at < bytes.length; n += 1) {
        const { length, pause } = pieces[n % pieces.length]!;
        micros += pause;
        chunks.push({ micros, bytes: bytes.slice(at, at + length) });
        at += length;
      }
      const { notes } = compareMusic(timeline, heardFromChunks(chunks));
      expect(notes).toMatchObject({ missing: 1, added: 0, changed: 0 });
    }),
    { numRuns: 60 },
  );
});

test('what a sender stutters out without a clock, however slowly, is judged by its order', () => {
  const song = readFileSync('songs/night-ferry.mid');
  const timeline = timelineOf(song);
  const messages = songMessages(song);
  const ons = messages.flatMap((bytes, n) => ((bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0 ? [n] : []));
  // As from a disk or a tape, a block now and then: 0.2 to 6 s in all, of a song of 36 s.
  const rests = fc.array(fc.integer({ min: 0, max: 400 }), { minLength: 3, maxLength: 15 });
  fc.assert(
    fc.property(fc.nat(ons.length - 1), fc.integer({ min: 10, max: 400 }), rests, (lost, millis, list) => {
      const bytes = messages.filter((_, n) => n !== ons[lost]).flatMap((one) => [...one]);
      const chunks: TimedChunk[] = [];
      let micros = 0;
      for (let at = 0, n = 0; at < bytes.length; at += 29, n += 1) {
        chunks.push({ micros, bytes: Uint8Array.from(bytes.slice(at, at + 29)) });
        const rest = list[n % list.length]!;
        micros += 100 + (rest < millis ? rest * 1000 : 0);
      }
      const found = compareMusic(timeline, heardFromChunks(chunks));
      expect(found.notes).toMatchObject({ missing: 1, added: 0, changed: 0 });
      expect(found.isTheSong).toBe(true);
    }),
    { numRuns: 40 },
  );
});

test('what is missing, added and changed is told note by note', () => {
  const { chunks } = playHomeBuilt(SONG, ['none'], 9);
  const isOn = ({ bytes }: TimedChunk) => bytes.length === 3 && (bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0;
  const ons = chunks.flatMap((chunk, n) => (isOn(chunk) ? [n] : []));
  const edited = [...chunks];
  // A note gone, one with another velocity, and one that nobody wrote.
  edited[ons[20]!] = { ...chunks[ons[20]!]!, bytes: Uint8Array.of(0xfe) };
  const louder = chunks[ons[30]!]!;
  edited[ons[30]!] = { ...louder, bytes: Uint8Array.of(louder.bytes[0]!, louder.bytes[1]!, 127) };
  const extra = chunks[ons[40]!]!.micros;
  edited.splice(
    ons[40]!,
    0,
    { micros: extra, bytes: Uint8Array.of(0x95, 20, 99) },
    { micros: extra, bytes: Uint8Array.of(0x85, 20, 0) },
  );
  const { notes } = compareMusic(SONG, heardFromChunks(edited.filter(({ bytes }) => bytes[0] !== 0xfe)));
  expect([...notes].map((one) => (one.kind === 'changed' ? one.what : one.kind))).toEqual(
    expect.arrayContaining(['missing', 'velocity', 'added']),
  );
});

describe('hostile recordings', () => {
  test('another song is not this one', () => {
    const [first, second] = npmSongs().filter(({ bytes }) => bytes.length > 8000);
    const other = timelineOf(second!.bytes);
    expect(
      compareMusic(timelineOf(first!.bytes), heardFromChunks(playHomeBuilt(other, ['none'], 1).chunks))
        .isTheSong,
    ).toBe(false);
  });

  test('any bytes are judged, and never throw', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 3000 }), (bytes) => {
        const { verdict } = compareMusic(SONG, heardFromBytes(bytes));
        expect(verdict).toBe('differs');
      }),
      { numRuns: 30 },
    );
  });

  test('two hundred thousand notes of one key', () => {
    const chunks = Array.from({ length: 200_000 }, (_, n) => ({
      micros: n * 700,
      bytes: Uint8Array.of(0x90, 60, 1 + (n % 100)),
    }));
    const found = compareMusic(SONG, heardFromChunks(chunks));
    expect(found.verdict).toBe('differs');
    // One key hangs, however often it was struck; and each strike is a note of the song, or told as none.
    expect(found.hanging).toEqual([{ channel: 0, key: 60, micros: 0 }]);
    expect(found.notes.added + found.matched.matching.matched).toBe(200_000);
  });

  test('nothing at all', () => {
    expect(compareMusic(SONG, heardFromBytes(new Uint8Array(0)))).toMatchObject({
      isTheSong: false,
      verdict: 'differs',
    });
  });
});
