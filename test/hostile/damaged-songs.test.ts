import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readSong } from '../../src/core/smf/read-song.ts';
import { UnreadableSong } from '../../src/core/smf/unreadable-song.ts';
import { npmSongs } from '../support/package-songs.ts';
import { chunk, header } from '../support/song-bytes.ts';
import { brokenLaw } from '../support/song-laws.ts';
import { FORMAT_0, FORMAT_1 } from '../support/worked-examples.ts';

/** Reads; lets nothing through but a lawful song or `UnreadableSong`. */
function outcome(bytes: Uint8Array): 'song' | 'unreadable' {
  try {
    const broken = brokenLaw(readSong(bytes));
    if (broken !== undefined) throw new Error(broken);
    return 'song';
  } catch (error) {
    if (!(error instanceof UnreadableSong)) throw error;
    if (error.offset < 0 || error.offset > bytes.length) throw new Error(`outside the file: ${error.offset}`);
    return 'unreadable';
  }
}

/** Bytes that mean something to a reader, so that random streams get deep into it. */
const tellingByte = fc.oneof(
  { weight: 4, arbitrary: fc.integer({ min: 0, max: 255 }) },
  { weight: 2, arbitrary: fc.constantFrom(0x00, 0x01, 0x7f, 0x80, 0x90, 0xb0, 0xc5, 0xe3) },
  { weight: 2, arbitrary: fc.constantFrom(0xf0, 0xf7, 0xff, 0x2f, 0x51, 0x58, 0x03, 0xf8, 0xf2, 0xfe) },
);
const piece = fc.oneof(
  { weight: 12, arbitrary: fc.array(tellingByte, { minLength: 1, maxLength: 6 }) },
  {
    weight: 2,
    arbitrary: fc.constantFrom(
      [0x00, 0x90, 0x3c, 0x40],
      [0x00, 0xff, 0x2f, 0x00],
      [0x00, 0xf0, 0x03, 1, 2, 0xf7],
    ),
  },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      [0x4d, 0x54, 0x72, 0x6b],
      [0x4d, 0x54, 0x68, 0x64],
      [0x4d, 0x54, 0x72, 0x6b, 0, 0, 0, 9],
    ),
  },
  { weight: 1, arbitrary: fc.constantFrom([0x52, 0x49, 0x46, 0x46], [0x41, 0x42, 0x43, 0x44, 0, 0, 0, 2]) },
);
const stream = fc.array(piece, { maxLength: 60 }).map((pieces) => pieces.flat());

describe('no bytes do any harm', () => {
  it('whatever they are', () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => void outcome(bytes)));
  });

  it('in a stream of pieces that look like a song', () => {
    fc.assert(
      fc.property(stream, (bytes) => void outcome(Uint8Array.from(bytes))),
      { numRuns: 2000 },
    );
  });

  it('in a track, whatever length it gives', () => {
    const said = fc.oneof(
      fc.constant(undefined),
      fc.nat({ max: 400 }),
      fc.constantFrom(0, 0xffff_ffff, 0x7fff_ffff),
    );
    fc.assert(
      fc.property(
        stream,
        said,
        fc.integer({ min: 0, max: 0xffff }),
        fc.nat({ max: 5 }),
        (body, length, division, format) => {
          const bytes = [
            ...header(format, 1, division),
            ...chunk('MTrk', body, length),
            ...chunk('MTrk', body),
          ];
          outcome(Uint8Array.from(bytes));
        },
      ),
      { numRuns: 2000 },
    );
  });
});

describe('a song cut anywhere', () => {
  it.each([
    ['format 0', FORMAT_0],
    ['format 1', FORMAT_1],
  ])('the worked example of %s gives its beginning', (_, whole) => {
    const all = readSong(whole);
    let before = 0;
    for (let length = 0; length < whole.length; length++) {
      const cut = whole.slice(0, length);
      if (outcome(cut) === 'unreadable') {
        // Header, chunk head and one event are the least there is to play.
        expect(length).toBeLessThan(30);
        continue;
      }
      const song = readSong(cut);
      expect(song.findings.length).toBeGreaterThan(0);
      expect(song.events.count).toBeGreaterThanOrEqual(before);
      expect(song.events.tick).toEqual(all.events.tick.slice(0, song.events.count));
      expect(song.events.status).toEqual(all.events.status.slice(0, song.events.count));
      before = song.events.count;
    }
    expect(before).toBe(all.events.count - 1);
  });

  it.each(npmSongs().map((song) => [song.name, song.bytes] as const))('%s', (_, whole) => {
    const all = readSong(whole);
    for (let length = 60; length < whole.length; length += 211) {
      const song = readSong(whole.slice(0, length));
      expect(brokenLaw(song)).toBeUndefined();
      // Nothing is made up: what is there is the beginning of what was there.
      expect(Buffer.compare(song.events.data1, all.events.data1.subarray(0, song.events.count))).toBe(0);
    }
  });
});

describe('a song with flipped bits', () => {
  const songs = [FORMAT_0, FORMAT_1, ...npmSongs().map((song) => song.bytes.slice(0, 6000))];

  it('each bit of the worked examples', () => {
    for (const whole of [FORMAT_0, FORMAT_1]) {
      for (let bit = 0; bit < whole.length * 8; bit++) {
        const bytes = whole.slice();
        bytes[bit >> 3]! ^= 1 << (bit & 7);
        expect(outcome(bytes)).toBe('song');
      }
    }
  });

  it('some bits of a package song', () => {
    const flips = fc.array(fc.nat({ max: 6000 * 8 - 1 }), { minLength: 1, maxLength: 30 });
    fc.assert(
      fc.property(fc.constantFrom(...songs), flips, (whole, bits) => {
        const bytes = whole.slice();
        for (const bit of bits) {
          const at = (bit >> 3) % bytes.length;
          bytes[at]! ^= 1 << (bit & 7);
        }
        outcome(bytes);
      }),
      { numRuns: 300 },
    );
  });
});
