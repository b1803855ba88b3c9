import { describe, expect, it } from 'vitest';
import { FindingList } from '../../../src/core/smf/finding-list.ts';
import { goesOnAt, resync } from '../../../src/core/smf/resync.ts';
import { SongColumns } from '../../../src/core/smf/song-columns.ts';
import { SONG_FINDINGS } from '../../../src/core/smf/song-findings.ts';
import { TrackCursor } from '../../../src/core/smf/track-cursor.ts';
import { hex } from '../../support/hex.ts';

/** A track of these bytes, behind which the file goes on with others that must not be looked at. */
function track(bytes: string): TrackCursor {
  const all = hex(`${bytes} 00 90 3C 40`);
  const extent = { start: 0, saidEnd: all.length - 4, limit: all.length - 4 };
  return new TrackCursor(all, new SongColumns(1), new FindingList(SONG_FINDINGS), extent);
}

describe('events begin again', () => {
  const from = (bytes: string, at = 0) => resync(track(bytes), at);

  it('at the delta time before a status byte with all its data bytes', () => {
    expect(from('05 06 07 00 90 3C 40')).toBe(3);
    expect(from('05 06 07 00 C0 3C')).toBe(3);
    expect(from('00 90 3C 40')).toBe(0);
    // Behind where one looks from, not before it.
    expect(from('00 90 3C 40 07 60 80 3C 40', 1)).toBe(5);
    expect(from('00 90 3C 40', 1)).toBe(4);
  });

  it('with a delta time of up to four bytes, none of which stands before where one looks from', () => {
    expect(from('05 81 00 90 3C 40')).toBe(1);
    expect(from('05 81 82 83 00 90 3C 40')).toBe(1);
    expect(from('05 81 82 83 84 00 90 3C 40')).toBe(2);
    expect(from('81 82 00 90 3C 40', 1)).toBe(1);
    expect(from('81 82 00 90 3C 40', 2)).toBe(2);
  });

  it('not at one whose data bytes are not there', () => {
    expect(from('05 00 90 3C F7 05 00 80 3C 40')).toBe(6);
    expect(from('05 00 90 F7 40 05 00 80 3C 40')).toBe(6);
    expect(from('05 00 C0 F7 05 00 80 3C 40')).toBe(5);
    expect(from('05 00 90 3C')).toBe(4); // the track’s end comes first
    expect(from('05 00 90 3C 40')).toBe(1); // the track may end behind it
    expect(from('05 00 C0')).toBe(3);
    expect(from('05 00 C0 7F')).toBe(1);
  });

  it('not at one before which no delta time can end', () => {
    expect(from('05 80 90 3C 40 00 80 3C 40')).toBe(5);
    expect(from('05 7F 90 3C 40 00 80 3C 40')).toBe(1);
  });

  it('at a meta event or SysEx that the track can hold, if its length is short', () => {
    expect(from('05 00 FF 2F 00')).toBe(1);
    expect(from('05 00 FF 2F')).toBe(4);
    expect(from('05 00 FF')).toBe(3);
    expect(from('05 00 FF 01 02 41 42')).toBe(1);
    expect(from('05 00 FF 01 03 41 42')).toBe(7);
    expect(from('05 00 FF 7F 00')).toBe(1);
    expect(from('05 00 FF 80 00 41')).toBe(6);
    expect(from(`05 00 FF 01 7F ${'41'.repeat(127)}`)).toBe(1);
    expect(from(`05 00 FF 01 80 F7 ${'41'.repeat(200)}`)).toBe(206);
    expect(from('05 00 F0 02 7D F7')).toBe(1);
    expect(from('05 00 F0 00')).toBe(1);
    expect(from('05 00 F0 03 7D F7')).toBe(6);
    expect(from('05 00 F0')).toBe(3);
    expect(from(`05 00 F0 7F ${'41'.repeat(127)}`)).toBe(1);
    expect(from(`05 00 F0 80 ${'41'.repeat(200)}`)).toBe(204);
  });

  it('not at an F7, nor at what no file may hold', () => {
    for (const status of ['F7', 'F1', 'F6', 'F8', 'FE']) expect(from(`05 00 ${status} 01 02 03`)).toBe(6);
  });
});

describe('a track may go on', () => {
  const goesOn = (bytes: string, at = 0) => goesOnAt(track(bytes), at);

  it('with a delta time and an event that begins with its status', () => {
    expect(goesOn('00 90 3C 40')).toBe(true);
    expect(goesOn('81 82 83 00 90 3C 40')).toBe(true);
    expect(goesOn('05 FF 2F 00')).toBe(true);
    expect(goesOn('41 00 F0 02 7D F7', 1)).toBe(true);
    expect(goesOn('00 C0 05')).toBe(true);
  });

  it('at its end, and nowhere else without an event', () => {
    expect(goesOn('41 42', 2)).toBe(true);
    expect(goesOn('41 42', 1)).toBe(false);
    expect(goesOn('81 82', 0)).toBe(false);
    expect(goesOn('00 90', 0)).toBe(false);
    expect(goesOn('00 C0', 0)).toBe(false);
  });

  it('not with a delta time of five bytes, running status, or an event cut short', () => {
    expect(goesOn('81 82 83 84 00 90 3C 40')).toBe(false);
    expect(goesOn('00 3C 40 00 90 3C 40')).toBe(false);
    expect(goesOn('00 90 3C')).toBe(false);
    expect(goesOn('81 90 3C 40')).toBe(false);
    expect(goesOn('00 F7 01 F7')).toBe(false);
  });
});
