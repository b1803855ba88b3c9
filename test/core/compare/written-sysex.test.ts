import { describe, expect, test } from 'vitest';
import { songPart } from '../../../src/core/compare/song-part.ts';
import { writtenSysEx } from '../../../src/core/compare/written-sysex.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** Universal messages as MIDI 1.0, Table VIIa, has them; and one of an invented maker, whose id is that of no one. */
const GM_ON = [0x7e, 0x7f, 0x09, 0x01];
const VOLUME = [0x7f, 0x7f, 0x04, 0x01, 0x00, 0x32];
const IDENTITY = [0x7e, 0x7f, 0x06, 0x01];
const MAKERS = [0x7d, 0x01, 0x02];
const DUMP = [0x7e, 0x7f, 0x02, 0x01];

const whole = (at: number, bytes: readonly number[]): TimedBytes => [at, 0xf0, ...bytes, 0xf7];

function written(messages: readonly TimedBytes[], tracks: readonly number[] = []) {
  const columns = timelineOf(messages);
  columns.track.set(tracks);
  return writtenSysEx({ columns } as Timeline);
}

const contents = (messages: readonly TimedBytes[]) =>
  written(messages).map(({ bytes, need }) => [need, ...bytes]);

describe('the SysEx of a song', () => {
  test('each with its place, what it is, and whether a player sends it', () => {
    const found = written(
      [
        whole(0, GM_ON),
        [1000, 0x90, 60, 64],
        whole(2000, VOLUME),
        whole(2000, IDENTITY),
        whole(3000, MAKERS),
        whole(4000, DUMP),
      ],
      [1, 2, 3, 4, 5, 6],
    );
    expect(found).toMatchObject([
      { row: 0, lastRow: 0, micros: 0, tick: 0, track: 1, need: 'must', what: { kind: 'gm-on' } },
      { row: 2, lastRow: 2, micros: 2000, tick: 2, track: 3, need: 'must', what: { kind: 'master-volume' } },
      { row: 3, lastRow: 3, micros: 2000, track: 4, need: 'none', what: { kind: 'identity-request' } },
      { row: 4, lastRow: 4, micros: 3000, track: 5, need: 'may', what: { kind: 'non-commercial' } },
      { row: 5, lastRow: 5, micros: 4000, track: 6, need: 'may', what: { name: 'Sample Data Packet' } },
    ]);
    expect(found.map(({ bytes }) => [...bytes])).toEqual([GM_ON, VOLUME, IDENTITY, MAKERS, DUMP]);
  });

  test('in packets (SMF 1.1, p. 6) it is one, from its first to its last', () => {
    const found = written([
      [0, 0x90, 60, 64],
      [1000, 0xf0, ...VOLUME.slice(0, 2)],
      [2000, 0xf7, ...VOLUME.slice(2, 5)],
      [3000, 0xf7, ...VOLUME.slice(5), 0xf7],
      whole(4000, GM_ON),
    ]);
    expect(found).toMatchObject([
      { row: 1, lastRow: 3, micros: 1000, tick: 1, need: 'must', what: { kind: 'master-volume' } },
      { row: 4, lastRow: 4, micros: 4000, what: { kind: 'gm-on' } },
    ]);
    expect([...found[0]!.bytes]).toEqual(VOLUME);
    const makers = contents([
      [0, 0xf0, 0x7d],
      [1, 0xf7, 1, 2, 0xf7],
    ]);
    expect(makers).toEqual([['may', ...MAKERS]]);
  });

  test('cut where a part of the song begins or ends it is none', () => {
    const columns = timelineOf([
      whole(0, GM_ON),
      [1000, 0xf0, ...VOLUME.slice(0, 2)],
      [2000, 0xf7, ...VOLUME.slice(2), 0xf7],
      whole(3000, IDENTITY),
    ]);
    const kinds = (from: number, to: number) =>
      writtenSysEx(songPart({ columns } as Timeline, from, to)).map(({ what }) => what.kind);
    expect(kinds(0, 9999)).toEqual(['gm-on', 'master-volume', 'identity-request']);
    expect(kinds(0, 1500)).toEqual(['gm-on']);
    expect(kinds(1500, 9999)).toEqual(['identity-request']);
  });

  test('of a long one the first 65536 bytes are compared', () => {
    const of = (length: number) => {
      const body = Array.from({ length }, (_, n) => n % 128);
      body[0] = 0x7d;
      return written([whole(0, body)])[0]!.bytes;
    };
    expect([of(65_536).length, of(65_537).length]).toEqual([65_536, 65_536]);
    expect([...of(65_537).subarray(0, 3), of(65_537).at(-1)]).toEqual([0x7d, 1, 2, 65_535 % 128]);
  });
});

describe('what is no whole SysEx', () => {
  test('is what a receiver would read of it, and nobody needs it', () => {
    // Without its end; with a status byte inside, which ends it; and sent as it stands behind an F7.
    expect(contents([[0, 0xf0, ...GM_ON]])).toEqual([['none', ...GM_ON]]);
    expect(contents([[0, 0xf0, 0x7d, 1, 0x90, 60, 64, 0xf7]])).toEqual([['none', 0x7d, 1]]);
    expect(contents([[0, 0xf7, 0xf0, ...GM_ON, 0xf7]])).toEqual([['none', ...GM_ON]]);
    expect(contents([[0, 0xf7, 0xf0, ...GM_ON, 0xf7, 0xf0, ...MAKERS, 0xf7]])).toEqual([
      ['none', ...GM_ON],
      ['none', ...MAKERS],
    ]);
    // However long it is.
    const long = Array.from({ length: 3000 }, (_, n) => n % 128);
    expect(contents([[0, 0xf0, ...long]])).toEqual([['none', ...long]]);
    // A clock between its bytes is no part of it (MIDI 1.0, p. 30).
    expect(contents([[0, 0xf7, 0xf0, 0x7d, 0xf8, 1, 2, 0xf7]])).toEqual([['none', ...MAKERS]]);
  });

  test('has its place as well, and what is whole is found behind it', () => {
    expect(
      written([[0, 0x90, 60, 64], [1000, 0xf7, 0xf0, ...MAKERS, 0xf7], whole(2000, VOLUME)]),
    ).toMatchObject([
      { row: 1, lastRow: 1, micros: 1000, need: 'none' },
      { row: 2, lastRow: 2, need: 'must' },
    ]);
  });

  test('is nothing where it begins none', () => {
    expect(
      contents([
        [0, 0xf7, 1, 2, 0xf7],
        [1, 0xf7, 0xf3, 1],
        [2, 0xff, 0x2f],
      ]),
    ).toEqual([]);
  });
});
