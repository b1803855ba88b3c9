import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { compareRecording } from '../../../src/core/compare/compare-recording.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { renderComparison } from '../../../src/core/compare/render-comparison.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';
import { repeated } from '../../support/joined-recording.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { compareSong } from './compare-songs.ts';
import { expectSound, NAMES, watched } from './watched.ts';

const SONG = buildTimeline(readSong(compareSong()));
const played = (faults: readonly PlayerFault[], seed: number) => playHomeBuilt(SONG, faults, seed).chunks;
const judged = (chunks: readonly TimedChunk[]) =>
  compareRecording(SONG, heardFromChunks(chunks), NAMES, { withinMicros: 20_000 });

describe('a player in a loop with whom something is wrong', () => {
  test.each<PlayerFault>([
    'bytes-lost',
    'tempo-ignored',
    'tracks-in-turn',
    'slow-adds-up',
    'slow-chords',
    'clock-rate',
    'velocity-zero',
    'running-status-across-tracks',
    'running-status-over-sysex',
    'file-running-status',
    'no-timing',
  ])('%s: each time is judged by itself, and all of them add up', (fault) => {
    const times = [1, 2, 3].map((seed) => played([fault], seed));
    const alone = times.map(judged);
    const sum = (what: 'song' | 'matched' | 'missing' | 'added' | 'changed') =>
      alone.reduce((all, { notes }) => all + notes[what], 0);
    const all = judged(repeated(times[0]!, times.slice(1)));
    expect(all).toMatchObject({ verdict: 'differs', parts: 3, isTheSong: true });
    expect(all.notes).toMatchObject({
      song: sum('song'),
      matched: sum('matched'),
      missing: sum('missing'),
      added: sum('added'),
      changed: sum('changed'),
    });
    expect(all.causes.map(({ code }) => code)).toContain(fault);
  });

  test('of which only the second time is: the others are not accused', () => {
    const [first, second, third] = [played(['none'], 1), played(['bytes-lost'], 2), played(['none'], 3)];
    const all = judged(repeated(first, [second, third]));
    const { notes, causes } = judged(second);
    expect(all.parts).toBe(3);
    expect(all.notes.missing).toBe(notes.missing);
    expect(all.notes.added).toBe(notes.added);
    expect(all.causes.map(({ code }) => code)).toEqual(causes.map(({ code }) => code));
    expect(all.times).toBe(3);
    for (const cause of all.causes) expect(cause).toMatchObject({ seenIn: 1, part: 2 });
  });

  test('the page says of which time the evidence is, and in how many the cause is seen', () => {
    const times = [played(['bytes-lost'], 1), played(['none'], 2), played(['bytes-lost'], 3)];
    const all = judged(repeated(times[0]!, [times[1]!, times[2]!, played(['none'], 4)]));
    const evidenceIn = ({ causes }: typeof all) => causes.find(({ code }) => code === 'bytes-lost')!.evidence;
    expect(all.causes).toMatchObject([{ code: 'bytes-lost', seenIn: 2, part: 3 }]);
    const words = evidenceIn(all);
    // How many bytes a time has is not known to the byte.
    expect(words.split(':')[0]).toBe(evidenceIn(judged(times[2]!)).split(':')[0]);
    expect(words.split(':')[0]).not.toBe(evidenceIn(judged(times[0]!)).split(':')[0]);
    const lines = renderComparison(all, { ascii: true, width: 400, lastBar: 20, clean: (text) => text });
    expect(lines).toContain(`    in 2 of 4 times; in time 3 (the last of them) ${words}`);
    expect(lines.find((line) => line.startsWith('played'))).toMatch(/4 times/);
  });

  test.each<PlayerFault>(['running-status-across-tracks', 'file-running-status'])(
    'the second time alone it was %s: its messages are judged without those of the others',
    (fault) => {
      const [first, second, third] = [played(['none'], 1), played([fault], 2), played(['none'], 3)];
      const alone = judged(second);
      const all = judged(repeated(first, [second, third]));
      expect(alone.causes.map(({ code }) => code)).toContain(fault);
      expect(all.causes.map(({ code }) => code)).toEqual(alone.causes.map(({ code }) => code));
      expect(all.offs.added).toBe(alone.offs.added);
    },
  );

  test('however often: each time has its own bytes, so that none is taken for faster than a wire', () => {
    const times = Array.from({ length: 24 }, (_, n) => played(['bytes-lost'], n % 3));
    const last = judged(times.at(-1)!);
    const all = judged(repeated(times[0]!, times.slice(1)));
    expect(all.parts).toBe(24);
    expect(all.clock.law).toBe('tempo-map');
    const often = ({ causes }: typeof all) =>
      Number(/one byte in (\d+)/.exec(causes.find(({ code }) => code === 'bytes-lost')?.evidence ?? '')?.[1]);
    // A place or two at the seam may be counted with the time before.
    expect(often(all)).toBeGreaterThan(0.8 * often(last));
    expect(often(all)).toBeLessThan(1.25 * often(last));
  });

  test('of whose notes hardly any come: its messages say that it is the song, and the time when it is over', () => {
    // Released by note-ons of velocity 0: only the first of each track has a status byte, and the programs.
    const track = (channel: number, keys: number[]): DeltaEvent[] =>
      keys.flatMap((key, n): DeltaEvent[] => [
        ...(n % 20 === 0 ? [[0, [0xc0 | channel, n / 20]] as DeltaEvent] : []),
        [0, [0x90 | channel, key, 80]],
        [48, [0x90 | channel, key, 0]],
      ]);
    const keys = Array.from({ length: 100 }, (_, n) => 40 + ((n * 7) % 30));
    const song = buildTimeline(readSong(songBytes([track(0, keys), track(1, keys.toReversed())])));
    const pass = playHomeBuilt(song, ['file-running-status'], 1).chunks;
    const length = song.durationMicros + 1e6;
    const loop = [0, 1, 2].flatMap((n) =>
      pass.map((one) => ({ ...one, micros: one.micros - pass[0]!.micros + 3e6 + n * length })),
    );
    const all = compareRecording(song, heardFromChunks(loop), NAMES, { withinMicros: 20_000 });
    expect(all).toMatchObject({ parts: 3, isTheSong: true });
    expect(all.causes.map(({ code }) => code)).toContain('file-running-status');
  });

  test('as fast as bytes come, so that some of a time seem to come faster than any wire has them', () => {
    const song = buildTimeline(readSong(npmSongs()[0]!.bytes));
    const pass = playHomeBuilt(song, ['no-timing'], 1).chunks;
    const all = compareRecording(song, heardFromChunks(repeated(pass, [pass, pass])), NAMES, {
      withinMicros: 20_000,
    });
    expect(all).toMatchObject({ parts: 3, notes: { missing: 0, added: 0 } });
    expect(all.causes.map(({ code }) => code)).toEqual(['no-timing']);
  });

  test('in a song whose verses are alike the rest of a time is no time of its own', () => {
    const verse = Array.from({ length: 48 }, (_, n): DeltaEvent[] => [
      [24, [0x90, 30 + ((n * 5) % 48), 80]],
      [24, [0x80, 30 + ((n * 5) % 48), 64]],
    ]).flat();
    const song = buildTimeline(readSong(songBytes([[...verse, ...verse, ...verse]], { division: 48 })));
    const sound = playHomeBuilt(song, [], 1).chunks;
    const lost = sound.filter(({ bytes }) => bytes[0] === 0x90)[2 * 48 + 40]!;
    const without = sound.filter((one) => one !== lost);
    const all = compareRecording(song, heardFromChunks(repeated(sound, [without])), NAMES, {
      withinMicros: 20_000,
    });
    expect(all).toMatchObject({ parts: 2, notes: { song: 288, missing: 1, added: 0, unheard: 0 } });
  });

  test('what comes behind the song and is not the song is added, once', () => {
    const song = played(['bytes-lost'], 4);
    const jam: TimedChunk[] = Array.from({ length: 200 }, (_, n) => ({
      micros: n * 100_000,
      bytes: Uint8Array.of(n % 2 === 0 ? 0x92 : 0x82, 100 + ((n >> 1) % 20), 64),
    }));
    const all = judged(repeated(song, [jam]));
    expect(all.parts).toBeUndefined();
    expect(all.notes.added).toBe(judged(song).notes.added + 100);
  });
});

test('a sound player in a loop who sets everything up long before the first note is no other', () => {
  const song = buildTimeline(readSong(compareSong(0.25)));
  const { chunks } = playHomeBuilt(song, ['none'], 5);
  const reset = Uint8Array.of(0xf0, 0x7e, 0x7f, 9, 1, 0xf7);
  const early = [
    { micros: chunks[0]!.micros - 600_000, bytes: reset },
    { micros: chunks[0]!.micros - 300_000, bytes: Uint8Array.of(0xb0, 7, 127) },
    ...chunks,
  ].map((one) => ({ ...one, micros: one.micros + 600_000 }));
  const { lines, page } = watched(repeated(early, [early, early]), song);
  expectSound({ lines, page });
  expect(page).toMatchObject({ verdict: 'same', parts: 3 });
});
