import { expect, it } from 'vitest';
import { FindingList } from '../../../src/core/smf/finding-list.ts';
import { readChunks } from '../../../src/core/smf/read-chunks.ts';
import { SongColumns } from '../../../src/core/smf/song-columns.ts';
import { SONG_FINDINGS } from '../../../src/core/smf/song-findings.ts';
import { hex } from '../../support/hex.ts';

const TRACK = '4D54726B 00000008 00 90 3C 40 00 FF 2F 00'; // 16 bytes

/** What is read of these bytes where there is room for so many events. */
function read(bytes: Uint8Array, capacity: number) {
  const columns = new SongColumns(capacity);
  const findings = new FindingList(SONG_FINDINGS);
  const end = readChunks(bytes, 0, bytes.length, columns, findings);
  const said = findings.toArray().map(({ code, offset }) => `${offset} ${code}`);
  return { end, events: columns.count, tracks: columns.trackCount, said };
}

it('more events than there is room for are left out, wherever that shows', () => {
  const two = hex(`${TRACK} ${TRACK}`);
  expect(read(two, 5)).toEqual({ end: 32, events: 4, tracks: 2, said: [] });
  expect(read(two, 3)).toEqual({ end: 32, events: 3, tracks: 2, said: ['32 events-too-many'] });
  expect(read(two, 2)).toEqual({ end: 32, events: 2, tracks: 1, said: ['32 events-too-many'] });
});

it('65,535 tracks, as many as a header can say, and no more', () => {
  const one = hex('4D54726B 00000004 00 FF 2F 00');
  const bytes = new Uint8Array(65_536 * one.length);
  for (let at = 0; at < bytes.length; at += one.length) bytes.set(one, at);
  expect(read(bytes, 100_000)).toEqual({
    end: bytes.length,
    events: 65_535,
    tracks: 65_535,
    said: [`${65_535 * one.length} tracks-too-many`],
  });
});
