import { describe, expect, it } from 'vitest';
import { FindingList } from '../../../src/core/smf/finding-list.ts';
import { findSongExtent } from '../../../src/core/smf/song-extent.ts';
import { SONG_FINDINGS } from '../../../src/core/smf/song-findings.ts';
import { hex } from '../../support/hex.ts';

const HEADER = '4D546864 00000006 0000 0001 0060'; // 14 bytes
const zeros = (count: number) => '00'.repeat(count);

/** Where the song lies, and what is said of it. */
function found(file: string, from = 0) {
  const findings = new FindingList(SONG_FINDINGS);
  const extent = findSongExtent(hex(file), from, findings);
  return [extent?.start, extent?.end, ...findings.toArray().map(({ code, offset }) => `${offset} ${code}`)];
}

describe('a song without wrapper', () => {
  it('begins with its header, with a track, or with one of these damaged in one byte', () => {
    expect(found(HEADER)).toEqual([0, 14]);
    expect(found('4D54726B 00000000')).toEqual([0, 8]);
    expect(found('4D546865 00000000')).toEqual([0, 8]);
    expect(found(`${zeros(3)} ${HEADER}`, 3)).toEqual([3, 17]);
  });

  it('is looked for behind a prefix', () => {
    expect(found(`01 02 03 ${HEADER}`)).toEqual([3, 17, '0 bytes-before-header']);
    expect(found(`01 02 03 ${HEADER}`, 2)).toEqual([3, 17, '2 bytes-before-header']);
    expect(found('01 02 03 4D546864 000000')).toEqual([undefined, undefined]);
    expect(found('')).toEqual([undefined, undefined]);
  });

  it('not where the letters stand in a text: a length there begins with 00 or, left open, with FF', () => {
    const text = '4D54726B 20616E64'; // “MTrk and”
    expect(found(`01 ${text} ${HEADER}`)).toEqual([9, 23, '0 bytes-before-header']);
    expect(found(`01 ${text}`)).toEqual([undefined, undefined]);
    expect(found('01 4D54726B FFFFFFFF')).toEqual([1, 9, '0 bytes-before-header']);
    expect(found('01 4D54726B 01000000')).toEqual([undefined, undefined]);
    // Four bytes further on one looks again.
    expect(found('01 4D54726B 4D54726B 00000000')).toEqual([5, 13, '0 bytes-before-header']);
  });
});

describe('a song in a RIFF wrapper of form RMID (numbers little-endian)', () => {
  const riff = (chunks: string, form = '524D4944') => `52494646 00000000 ${form} ${chunks}`;
  const SONG = '0 riff-wrapper';

  it('is its data, up to the length given', () => {
    expect(found(riff(`64617461 0E000000 ${HEADER}`))).toEqual([20, 34, SONG]);
    expect(found(riff(`64617461 0E000000 ${HEADER} 0102`))).toEqual([20, 34, SONG]);
    // Cut to what is said, even within the song.
    expect(found(riff(`64617461 04000000 ${HEADER}`))).toEqual([20, 24, SONG]);
  });

  it('up to the end of the file where the length is 0 or too large', () => {
    for (const length of ['00000000', '0F000000', '0E010000', '0E000100', '0E000001', 'FFFFFFFF'])
      expect(found(riff(`64617461 ${length} ${HEADER}`)), length).toEqual([20, 34, SONG]);
  });

  it('behind other chunks, which are padded to an even length', () => {
    const behind = (length: string, bytes: number) =>
      found(riff(`4C495354 ${length} ${zeros(bytes)} 64617461 0E000000 ${HEADER}`));
    expect(behind('00000000', 0)).toEqual([28, 42, SONG]);
    expect(behind('01000000', 2)).toEqual([30, 44, SONG]);
    expect(behind('02000000', 2)).toEqual([30, 44, SONG]);
    expect(behind('02010000', 258)).toEqual([286, 300, SONG]);
    expect(behind('00000100', 65_536)).toEqual([65_564, 65_578, SONG]);
  });

  it('else it is looked for as behind any prefix', () => {
    const LOOKED_FOR = '0 bytes-before-header';
    expect(found(riff(`64617461 0E000000 ${HEADER}`, '57415645'))).toEqual([20, 34, LOOKED_FOR]);
    // The data do not begin with a header, or are too short for its letters.
    expect(found(riff(`64617461 0F000000 00 ${HEADER}`))).toEqual([21, 35, LOOKED_FOR]);
    expect(found(riff(`64617461 03000000 ${HEADER}`))).toEqual([20, 34, LOOKED_FOR]);
    // No data at all: the chunk before reaches to the end, or behind it.
    expect(found(riff(`4C495354 0E000000 ${HEADER}`))).toEqual([20, 34, LOOKED_FOR]);
    expect(found(riff(`4C495354 FFFFFF7F ${HEADER}`))).toEqual([20, 34, LOOKED_FOR]);
    // Only at the very beginning.
    expect(found(`00 ${riff(`64617461 0E000000 ${HEADER}`)}`)).toEqual([21, 35, LOOKED_FOR]);
    expect(found(riff('64617461'))).toEqual([undefined, undefined]);
  });
});
