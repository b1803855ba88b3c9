import fc from 'fast-check';
import { parseMidi } from 'midi-file';
import { describe, expect, it } from 'vitest';
import { META_KINDS } from '../../../src/core/smf/meta-kinds.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../src/core/smf/write-song.ts';
import { hex } from '../../support/hex.ts';
import { DEBIAN_SONGS, debianSongs, npmSongs, type PackageSong } from '../../support/package-songs.ts';
import { type DeltaEvent, meta, songBytes, sysEx } from '../../support/song-bytes.ts';
import { firstDifference, songRows } from '../../support/song-rows.ts';

const dataByte = fc.integer({ min: 0, max: 127 });
const status = fc.integer({ min: 0x80, max: 0xef });
const delta = fc.oneof(
  fc.constant(0),
  fc.integer({ min: 0, max: 300 }),
  fc.constantFrom(0x7f, 0x80, 0x3fff, 0x4000, 0x1f_ffff, 0x20_0000),
);

const channelEvent = fc
  .tuple(status, dataByte, dataByte)
  .map(([s, a, b]) => ((s & 0xe0) === 0xc0 ? [s, a] : [s, a, b]));

/** Any type but end-of-track, with a length the standard allows for it. */
const metaEvent = fc
  .integer({ min: 0, max: 127 })
  .filter((type) => type !== 0x2f)
  .chain((type) => {
    const length = META_KINDS[type]!.lengths?.[0];
    const size = length === undefined ? { maxLength: 200 } : { minLength: length, maxLength: length };
    return fc.uint8Array(size).map((bytes) => meta(type, bytes));
  });

const sysExEvent = fc
  .array(dataByte, { minLength: 1, maxLength: 200 })
  .map((data) => sysEx([0xf0, ...data, 0xf7]));
const escapeEvent = fc.uint8Array({ maxLength: 5 }).map((bytes) => [0xf7, bytes.length, ...bytes]);

const event = fc.oneof(
  { weight: 12, arbitrary: channelEvent },
  { weight: 2, arbitrary: metaEvent },
  { weight: 1, arbitrary: sysExEvent },
  { weight: 1, arbitrary: escapeEvent },
);
const track: fc.Arbitrary<DeltaEvent[]> = fc.array(fc.tuple(delta, event), { maxLength: 40 });

const song = fc
  .record({
    tracks: fc.array(track, { minLength: 1, maxLength: 5 }),
    format: fc.integer({ min: 0, max: 2 }),
    division: fc.oneof(fc.integer({ min: 1, max: 0x7fff }), fc.constantFrom(0xe804, 0xe728, 0xe350, 0xe250)),
  })
  .map(({ tracks, format, division }) =>
    songBytes(format === 0 ? tracks.slice(0, 1) : tracks, { format, division }),
  );

describe('writing a song', () => {
  it('and reading it again gives the same song', () => {
    fc.assert(
      fc.property(song, fc.boolean(), (bytes, runningStatus) => {
        const first = readSong(bytes);
        expect(first.findings).toEqual([]);
        const again = readSong(writeSong(first, { runningStatus }));
        expect(again.findings).toEqual([]);
        expect(songRows(again)).toEqual(songRows(first));
        expect(again.format).toBe(first.format);
        expect(again.division).toEqual(first.division);
        expect(again.trackStart).toEqual(first.trackStart);
      }),
      { numRuns: 400 },
    );
  });

  it('gives a file that midi-file reads too', () => {
    fc.assert(
      fc.property(song, (bytes) => {
        const written = readSong(writeSong(readSong(bytes)));
        // Sequence numbers without a number are legal, but midi-file throws on them.
        if (songRows(written).some((row) => /FF 00 00 \|$/.test(row))) return;
        const counts = parseMidi(written.bytes).tracks.map((events) => events.length);
        expect(counts).toEqual(
          [...written.trackStart].slice(1).map((end, i) => end - written.trackStart[i]!),
        );
      }),
    );
  });

  it('with running status leaves out status bytes, without it none', () => {
    const notes = readSong(songBytes([[0, 1, 2].map((key): DeltaEvent => [1, [0x90, key, 64]])]));
    expect(writeSong(notes).length).toBe(writeSong(notes, { runningStatus: false }).length - 2);
  });

  it('adds an end-of-track where none is', () => {
    const open = readSong(hex('4D546864 00000006 0000 0001 0060  4D54726B 00000004 00 90 3C 40'));
    const again = readSong(writeSong(open));
    expect(again.findings).toEqual([]);
    expect(songRows(again)).toEqual(['1: 0 90 3C 40', '1: 0 FF 2F 00 |']);
  });

  it('bridges a rest no delta time can hold with empty texts', () => {
    const columns = readSong(songBytes([[[0, [0x90, 60, 64]]]]));
    const far = 3_000_000_000;
    columns.events.tick[1] = far;
    const again = readSong(writeSong(columns));
    expect(again.findings).toEqual([]);
    expect(again.events.tick.at(-1)).toBe(far);
  });

  it('keeps 20,000 events whole across the pieces it writes them in', () => {
    const events = Array.from(
      { length: 20_000 },
      (_, i): DeltaEvent => [i % 300, [0x90 + (i % 16), i % 128, i % 128]],
    );
    const first = readSong(songBytes([events]));
    expect(firstDifference(songRows(readSong(writeSong(first))), songRows(first))).toBeUndefined();
  });

  describe('gives package songs back event for event', () => {
    const check = (_: string, bytes: Uint8Array): void => {
      const first = readSong(bytes);
      expect(firstDifference(songRows(readSong(writeSong(first))), songRows(first))).toBeUndefined();
    };
    const cases = (songs: PackageSong[]) => songs.map((one) => [one.name, one.bytes] as const);
    it.each(cases(npmSongs()))('%s', check);
    describe.skipIf(DEBIAN_SONGS === undefined)('from Debian', () => {
      it.each(cases(debianSongs()))('%s', check);
    });
  });
});
