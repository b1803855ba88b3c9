import { describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { UnreadableSong } from '../../../src/core/smf/unreadable-song.ts';
import { hex } from '../../support/hex.ts';
import { DEBIAN_SONGS, debianSongs } from '../../support/package-songs.ts';

function refusalOf(bytes: Uint8Array): UnreadableSong {
  try {
    readSong(bytes);
  } catch (error) {
    if (error instanceof UnreadableSong) return error;
    throw error;
  }
  throw new Error('it was read');
}

const text = (words: string): Uint8Array => Uint8Array.from(words, (c) => c.charCodeAt(0));

describe('what holds nothing to play', () => {
  it.each([
    ['nothing', new Uint8Array(0), 'The file is empty.'],
    ['a text', text('Dear diary,\r\n\ttoday'), 'This is a text file, not a MIDI file.'],
    [
      'a text about MIDI files',
      text('A file begins with MThd and a length; each track with MTrk and a length. Then events follow.'),
      'This is a text file, not a MIDI file.',
    ],
    ['other data', hex('FF D8 FF E0 00 10 4A 46'), 'There is no MIDI header or track in it.'],
    ['zeros', new Uint8Array(1000), 'There is no MIDI header or track in it.'],
    [
      'a lone header',
      hex('4D546864 00000006 0000 0001 0060'),
      'There is a MIDI header or track, but no event in it.',
    ],
    ['a header cut short', hex('4D546864 0000'), 'There is no MIDI header or track in it.'],
    ['a track of no bytes', hex('4D54726B 00000000'), 'There is a MIDI header or track, but no event in it.'],
    [
      'a header and a track cut before its first event',
      hex('4D546864 00000006 0000 0001 0060 4D54726B 0000003B 00 FF'),
      'There is a MIDI header or track, but no event in it.',
    ],
  ])('%s', (_, bytes, reason) => {
    const refusal = refusalOf(bytes);
    expect(refusal.reason).toBe(reason);
    expect(refusal.nextStep).toMatch(/\.$/);
    expect(refusal.offset).toBeLessThanOrEqual(bytes.length);
  });

  it('reads the song behind a header that has nothing behind it', () => {
    const song = readSong(
      hex('4D546864 00000006 0000 0001 0060  4D546864 00000006 0000 0001 0078 4D54726B 00000004 00FF2F00'),
    );
    expect(song.division).toEqual({ kind: 'quarter', ticksPerQuarter: 120 });
  });

  // Three map data files of Debian's libterralib-doc end in .mid.
  describe.skipIf(DEBIAN_SONGS === undefined)('files of map data with the ending .mid', () => {
    it.each(debianSongs({ midi: false }).map((song) => [song.name, song.bytes] as const))(
      '%s',
      (_, bytes) => {
        expect(refusalOf(bytes).reason).toBe('This is a text file, not a MIDI file.');
      },
    );
  });
});
