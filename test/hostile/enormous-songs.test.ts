import { describe, expect, it } from 'vitest';
import { readSong } from '../../src/core/smf/read-song.ts';
import { MOST_EVENTS } from '../../src/core/smf/song-columns.ts';
import { UnreadableSong } from '../../src/core/smf/unreadable-song.ts';
import { hex } from '../support/hex.ts';
import { brokenLaw } from '../support/song-laws.ts';

// Each case must be done well within the time limit of a test: a reader that looks at any byte too often, or
// that keeps what it should only count, does not get through.

const SIZE = 4 * 1024 * 1024;
const HEADER = '4D546864 00000006 0001 0001 0060';
const ENDLESS_TRACK = `${HEADER} 4D54726B FFFFFFFF`;

/** `begin` once, then `again` to the end. */
function filled(begin: string, again: string, size = SIZE): Uint8Array {
  const bytes = new Uint8Array(size);
  const head = hex(begin);
  const unit = hex(again);
  bytes.set(head);
  bytes.set(unit, head.length);
  for (let done = unit.length; head.length + done < size; done *= 2) {
    bytes.copyWithin(
      head.length + done,
      head.length,
      head.length + Math.min(done, size - head.length - done),
    );
  }
  return bytes;
}

describe('enormous files with nothing in them', () => {
  it.each([
    ['200 MB of zeros', '', '00', 200 * 1024 * 1024],
    ['delta times without end', ENDLESS_TRACK, '80', SIZE],
    ['data bytes without status', ENDLESS_TRACK, '40', SIZE],
    ['meta events without a type', ENDLESS_TRACK, 'FF', SIZE],
    ['real-time messages', ENDLESS_TRACK, '00 F8', SIZE],
    ['notes above 127', `${ENDLESS_TRACK} 00 90`, '90 80', SIZE],
    ['headers', '', '4D546864', SIZE],
    ['headers of the right length', '', HEADER, SIZE],
    ['tracks that hold the next one', HEADER, '4D54726B', SIZE],
    ['tracks of no bytes', HEADER, '4D54726B 00000000', SIZE],
    ['chunks of another kind', HEADER, '41424344 00000000', SIZE],
    ['a RIFF wrapper of empty chunks', '52494646 00000000 524D4944', '41424344 00000000', SIZE],
    ['beginnings of a name', '', '4D5472', SIZE],
  ])('%s', (_, begin, again, size) => {
    expect(() => readSong(filled(begin, again, size))).toThrow(UnreadableSong);
  });
});

describe('enormous files of events', () => {
  it('so many are read, and it is said', () => {
    const song = readSong(filled(`${ENDLESS_TRACK} 00 C0 00`, '00 01', MOST_EVENTS * 2 + 1000));
    expect(song.events.count).toBe(MOST_EVENTS);
    expect(song.findings.map((finding) => finding.text)).toContain(
      'There are more than 8388608 events; the rest is left out.',
    );
    expect(song.events.tick.buffer.byteLength).toBe(MOST_EVENTS * 4);
  });

  it.each([
    ['empty texts', '00 FF 01 00'],
    ['empty SysEx packets', '00 F0 00'],
    ['SysEx messages without a length', '00 F0 7E 7F 09 01 F7'],
  ])('%s', (_, again) => {
    const song = readSong(filled(ENDLESS_TRACK, again));
    const bytesEach = again.split(' ').length;
    expect(song.events.count).toBeGreaterThan(SIZE / bytesEach - 20);
    expect(song.findings.length).toBeLessThan(60);
    // A payload is two numbers, in columns that grow by doubling.
    expect(song.payloads.start.buffer.byteLength).toBeLessThanOrEqual(song.payloads.count * 2 * 4);
  });

  it('tempo events whose length is absurd', () => {
    expect(brokenLaw(readSong(filled(ENDLESS_TRACK, '00 FF 51 FF FF FF 7F')))).toBeUndefined();
  });

  it('end-of-track events, one after another', () => {
    expect(brokenLaw(readSong(filled(ENDLESS_TRACK, '00 FF 2F 00')))).toBeUndefined();
  });

  it.each([
    ['sound', '4D54726B 00000004 00 FF 2F 00'],
    ['with a wrong length', '4D54726B 00FFFF04 00 FF 2F 00'],
  ])('65,535 tracks are read and no more, %s', (_, track) => {
    const song = readSong(filled(HEADER, track));
    expect(song.trackStart.length - 1).toBe(65_535);
    expect(song.findings.map((finding) => finding.code)).toContain('tracks-too-many');
    expect(brokenLaw(song)).toBeUndefined();
  });

  it('a header that says 65,535 tracks, over one', () => {
    const song = readSong(hex('4D546864 00000006 0001 FFFF 0060 4D54726B 00000004 00 FF 2F 00'));
    expect(song.trackStart.length - 1).toBe(1);
    expect(song.findings.map((finding) => finding.text)).toEqual([
      'The header counts 65535 tracks, the file holds 1; all of them are read.',
    ]);
  });
});
