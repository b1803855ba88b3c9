import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FindingList } from '../../../src/core/smf/finding-list.ts';
import { readChannelRun } from '../../../src/core/smf/read-channel-run.ts';
import { readEvent } from '../../../src/core/smf/read-event.ts';
import { SongColumns } from '../../../src/core/smf/song-columns.ts';
import { SONG_FINDINGS } from '../../../src/core/smf/song-findings.ts';
import { TrackCursor } from '../../../src/core/smf/track-cursor.ts';
import { hex, toHex } from '../../support/hex.ts';

/** A cursor at the beginning of a track of these bytes. */
function cursorOf(bytes: Uint8Array, capacity = 1000, saidEnd = bytes.length): TrackCursor {
  const columns = new SongColumns(capacity);
  columns.beginTrack();
  const extent = { start: 0, saidEnd, limit: bytes.length };
  return new TrackCursor(bytes, columns, new FindingList(SONG_FINDINGS), extent);
}

function rowsOf({ columns }: TrackCursor): string[] {
  const { tick, status, data1, data2 } = columns.events();
  return Array.from(tick, (at, row) => `${at} ${toHex([status[row]!, data1[row]!, data2[row]!])}`);
}

/** What one call of the fast lane takes: its rows, and where it stops. `ENOUGH` behind it is never part of it. */
const ENOUGH = '00 FF 01 04 41 41 41 41';
function taken(body: string, prepare = (_: TrackCursor) => {}): [rows: string[], pos: number] {
  const cursor = cursorOf(hex(`${body} ${ENOUGH}`));
  prepare(cursor);
  readChannelRun(cursor);
  return [rowsOf(cursor), cursor.pos];
}

describe('the fast lane takes', () => {
  it('channel messages of every status', () => {
    const statuses = Array.from({ length: 0x70 }, (_, i) => 0x80 + i);
    const messages = statuses.map((status) =>
      (status & 0xe0) === 0xc0 ? [status, 127] : [status, status & 0x7f, 127],
    );
    const body = toHex(messages.flatMap((message) => [1, ...message]));
    const rows = messages.map(
      ([status, data1, data2 = 0], i) => `${i + 1} ${toHex([status!, data1!, data2])}`,
    );
    expect(taken(body)).toEqual([rows, hex(body).length]);
  });

  it('running status, after one data byte and after two', () => {
    expect(taken('00 90 3C 40  01 3D 00  02 C1 05  03 06  04 91 00 7F')).toEqual([
      ['0 90 3C 40', '1 90 3D 00', '3 C1 05 00', '6 C1 06 00', '10 91 00 7F'],
      16,
    ]);
  });

  it('delta times of one to four bytes (the table of SMF 1.1, section 1.1, and what lies between)', () => {
    for (const [bytes, ticks] of [
      ['7F', 0x7f],
      ['81 00', 0x80],
      ['FF 7F', 0x3fff],
      ['81 80 00', 0x4000],
      ['FF FF 7F', 0x1f_ffff],
      ['81 80 80 00', 0x20_0000],
      ['FF FF FF 7F', 0x0fff_ffff],
      ['A5 9A 8F 05', (0x25 << 21) | (0x1a << 14) | (0x0f << 7) | 5],
      ['80 80 80 05', 5], // padded
    ] as const)
      expect(taken(`${bytes} 90 3C 40`)[0], bytes).toEqual([`${ticks} 90 3C 40`]);
  });

  it('as many as there is room for', () => {
    const cursor = cursorOf(hex(`00 90 3C 40  00 3C 00  00 3D 40 ${ENOUGH}`), 2);
    readChannelRun(cursor);
    expect([rowsOf(cursor).length, cursor.pos]).toEqual([2, 7]);
  });

  it('a tick up to the largest there is', () => {
    const at = (tick: number) => (cursor: TrackCursor) => Object.assign(cursor, { tick });
    expect(taken('05 90 3C 40', at(0xffff_fffa))[0]).toEqual(['4294967295 90 3C 40']);
    expect(taken('05 90 3C 40', at(0xffff_fffb))).toEqual([[], 0]);
  });
});

describe('it stops before', () => {
  it.each([
    ['a meta event', '00 FF 01 00'],
    ['a SysEx', '00 F0 02 7D F7'],
    ['an escape', '00 F7 01 FA'],
    ['a first data byte above 127', '00 90 80 40'],
    ['a second data byte above 127', '00 90 3C 80'],
    ['a second data byte above 127, in running status', '00 3C 80'],
    ['one data byte above 127', '00 C0 80'],
    ['a delta time of five bytes', '81 80 80 80 00 90 3C 40'],
    ['a delta time of five bytes, in running status', '81 80 80 80 05 3C 40'],
  ])('%s', (_, event) => {
    expect(taken(`00 90 3C 40 ${event}`)).toEqual([['0 90 3C 40'], 4]);
  });

  it('running status that nothing has set, or that a meta event or SysEx has cancelled', () => {
    expect(taken('00 3C 40 00 00 00 00')).toEqual([[], 0]);
    const cancelled = (cursor: TrackCursor) =>
      Object.assign(cursor, { running: 0x90, runningCancelled: true });
    expect(taken('00 3C 40', cancelled)).toEqual([[], 0]);
    expect(taken('00 91 3C 40  00 3C 00', cancelled)[0]).toEqual(['0 91 3C 40', '0 91 3C 00']);
  });

  it('the last seven bytes of the track, which is the most that an event can take', () => {
    const stopsAt = (bytes: string) => {
      const cursor = cursorOf(hex(bytes));
      readChannelRun(cursor);
      return cursor.pos;
    };
    expect(stopsAt('00 90 3C 40 00 FF 2F')).toBe(4);
    expect(stopsAt('00 90 3C 40 00 FF')).toBe(0);
    expect(stopsAt('FF FF FF 7F 90 3C 40')).toBe(7);
  });

  it('the last seven bytes before the end that the chunk gives; beyond that it goes on', () => {
    const bytes = hex(`${'00 90 3C 40'.repeat(6)} ${ENOUGH}`);
    const cursor = cursorOf(bytes, 1000, 12);
    readChannelRun(cursor);
    expect(cursor.pos).toBe(8); // 5 is the last place from which an event surely ends before it
    cursor.pos = 12;
    readChannelRun(cursor);
    expect(cursor.pos).toBe(24);
    // One at the end of the track or outside is no reason to stop.
    for (const saidEnd of [32, 40]) {
      const free = cursorOf(bytes, 1000, saidEnd);
      readChannelRun(free);
      expect(free.pos).toBe(24);
    }
  });
});

describe('what it leaves behind', () => {
  it('is where the reader of single events goes on', () => {
    const cursor = cursorOf(hex(`05 91 3C 40  06 C2 01 ${ENOUGH}`));
    Object.assign(cursor, { tick: 100, running: 0x93, runningCancelled: true });
    readChannelRun(cursor);
    const { pos, tick, running, runningCancelled } = cursor;
    expect({ pos, tick, running, runningCancelled }).toEqual({
      pos: 7,
      tick: 111,
      running: 0xc2,
      runningCancelled: false,
    });
  });

  it('is all as it was where it takes nothing', () => {
    const cursor = cursorOf(hex(ENOUGH));
    Object.assign(cursor, { tick: 100, running: 0x93, runningCancelled: true });
    readChannelRun(cursor);
    expect([cursor.pos, cursor.tick, cursor.running, cursor.runningCancelled]).toEqual([0, 100, 0x93, true]);
  });
});

it('with it a track is read as without it, whatever its bytes', () => {
  const piece = fc.oneof(
    {
      weight: 6,
      arbitrary: fc.constantFrom([0, 0x90, 60, 64], [1, 60, 0], [0x81, 0, 0xc1, 5], [9, 0xb0, 7, 1]),
    },
    { weight: 2, arbitrary: fc.array(fc.integer({ min: 0, max: 255 }), { minLength: 1, maxLength: 3 }) },
    {
      weight: 2,
      arbitrary: fc.constantFrom([0, 0xff, 1, 1, 65], [0, 0xf0, 2, 1, 0xf7], [0xff, 0xff, 0xff, 0x7f]),
    },
  );
  const resultOf = (bytes: Uint8Array, step: (cursor: TrackCursor) => void) => {
    const cursor = cursorOf(bytes);
    while (cursor.pos < cursor.limit && !cursor.ended) step(cursor);
    return { rows: rowsOf(cursor), pos: cursor.pos, tick: cursor.tick, findings: cursor.findings.toArray() };
  };
  fc.assert(
    fc.property(fc.array(piece, { maxLength: 20 }), (pieces) => {
      const bytes = Uint8Array.from(pieces.flat());
      const withIt = resultOf(bytes, (cursor) => {
        const before = cursor.pos;
        readChannelRun(cursor);
        if (cursor.pos === before) readEvent(cursor);
      });
      expect(withIt).toEqual(resultOf(bytes, readEvent));
    }),
    { numRuns: 300 },
  );
});
