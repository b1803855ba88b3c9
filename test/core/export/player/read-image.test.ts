import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { IMAGE_HEAD } from '../../../../src/core/export/player/image.ts';
import { readImage } from '../../../../src/core/export/player/read-image.ts';
import { prepareSong } from '../../../../src/core/export/prepare-song.ts';
import { CODE, FAR_CODES } from '../../../../src/core/export/stream/code-table.ts';
import { crc16 } from '../../../../src/core/export/tape/crc16.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';
import { Z80 as MACHINE } from './machines.ts';

/** Of a song of a few notes. */
const { bytes } = prepareSong(
  buildTimeline(
    readSong(
      songBytes([
        [60, 64, 60, 64, 67, 60].flatMap((key): DeltaEvent[] => [
          [0, [0x90, key, 100]],
          [24, [0x80, key, 64]],
        ]),
      ]),
    ),
  ),
  {},
  MACHINE,
)!.image;

describe('the image', () => {
  test('a cut, a changed byte, another version and something else are told apart', () => {
    expect(readImage(bytes)).toMatchObject({ bytes: expect.any(Uint8Array) });
    expect(readImage(bytes.subarray(0, bytes.length - 1))).toEqual({
      kind: 'cut',
      bytes: bytes.length - 1,
      expected: bytes.length,
    });
    expect(readImage(Uint8Array.of(...bytes, 0))).toMatchObject({ kind: 'cut', expected: bytes.length });
    const changed = bytes.slice();
    changed[bytes.length >> 1]! ^= 0x10;
    expect(readImage(changed)).toMatchObject({ kind: 'checksum' });
    const later = bytes.slice();
    later[5] = 9;
    expect(readImage(later)).toMatchObject({ kind: 'other-version', version: 9 });
    expect(readImage(new Uint8Array(100))).toMatchObject({ kind: 'no-image' });
    expect(readImage(bytes.subarray(0, IMAGE_HEAD.size - 1))).toMatchObject({ kind: 'no-image' });
    for (const at of [IMAGE_HEAD.mark, IMAGE_HEAD.mark + 1]) {
      const other = bytes.slice();
      other[at]! += 1;
      expect(readImage(other)).toMatchObject({ kind: 'no-image' });
    }
  });

  test('a false stream with a true checksum ends: it leads outside, into itself, or goes on for days', () => {
    const stream = (bytes[IMAGE_HEAD.stream]! | (bytes[IMAGE_HEAD.stream + 1]! << 8)) - MACHINE.from;
    const withStream = (...codes: number[]) => {
      const odd = bytes.slice();
      odd.set(codes, stream);
      odd.fill(0, IMAGE_HEAD.checksum, IMAGE_HEAD.checksum + 2);
      const crc = crc16(odd);
      odd.set([crc & 0xff, crc >> 8], IMAGE_HEAD.checksum);
      return readImage(odd);
    };
    expect(withStream(CODE.references, 0, 0)).toEqual({ kind: 'leaves-memory', address: 0 });
    const behind = MACHINE.from + bytes.length;
    expect(withStream(CODE.references, behind & 0xff, behind >> 8)).toEqual({
      kind: 'leaves-memory',
      address: behind,
    });
    // Data up to the last byte, and none that ends it.
    const rest = bytes.length - stream;
    expect(withStream(...Array.from({ length: rest }, () => 1))).toEqual({
      kind: 'leaves-memory',
      address: behind,
    });
    // A wait whose number would be outside.
    expect(withStream(...Array.from({ length: rest - 1 }, () => 1), 0x81)).toEqual({
      kind: 'leaves-memory',
      address: behind,
    });
    // FE FE: two symbols from itself on.
    expect(withStream(0xfe, 0xfe)).toEqual({ kind: 'endless', address: MACHINE.from + stream });
    // 255 steps, 255 times each level, three levels deep and once more: more than a grid has in days.
    const at = MACHINE.from + stream;
    const long = CODE.references + FAR_CODES - 1;
    const low = (address: number) => [address & 0xff, address >> 8];
    expect(
      withStream(0x81, 255, long, 255, ...low(at), long, 255, ...low(at + 2), long, 255, ...low(at + 6)),
    ).toMatchObject({ kind: 'endless' });
  });

  test('whatever bytes a file has, reading ends with a song or a fault', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(bytes.length - 1), fc.nat(255)), { maxLength: 6 }), (changes) => {
        const damaged = bytes.slice();
        for (const [at, value] of changes) damaged[at] = value;
        damaged.fill(0, IMAGE_HEAD.checksum, IMAGE_HEAD.checksum + 2);
        const crc = crc16(damaged);
        damaged.set([crc & 0xff, crc >> 8], IMAGE_HEAD.checksum);
        const read = readImage(damaged);
        expect('kind' in read || read.bytes.length >= 0).toBe(true);
      }),
      { numRuns: 60, seed: 4 },
    );
  });
});
