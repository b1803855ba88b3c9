import { describe, expect, test } from 'vitest';
import { statusFaults } from '../../../../src/core/compare/causes/status-faults.ts';
import type { HeardMusic } from '../../../../src/core/compare/heard-music.ts';
import type { Timeline } from '../../../../src/core/timeline/timeline.ts';

type Message = readonly [status: number, data1: number, data2: number];
type Row = readonly [track: number, ...Message];

function fault(song: readonly Row[], came: readonly Message[], unheard = 0, faults = 0) {
  return statusFaults(
    {
      columns: {
        count: song.length,
        track: Uint16Array.from(song, ([track]) => track),
        status: Uint8Array.from(song, ([, status]) => status),
        data1: Uint8Array.from(song, ([, , data1]) => data1),
        data2: Uint8Array.from(song, ([, , , data2]) => data2),
      },
    } as unknown as Timeline,
    {
      said: {
        status: Uint8Array.from(came, ([status]) => status),
        data1: Uint8Array.from(came, ([, data1]) => data1),
        data2: Uint8Array.from(came, ([, , data2]) => data2),
      },
      faults: { count: faults },
    } as unknown as HeardMusic,
    unheard,
  );
}

const messages = (rows: readonly Row[]) => rows.map(([, ...message]): Message => message);
const numbers = (count: number) => Array.from({ length: count }, (_, n) => n);
const note = (n: number, channel = 0, track = 0): Row => [track, 0x90 | channel, n & 127, 1 + (n >> 7)];

describe('a reader that knows no running status (SMF 1.1, 2.3)', () => {
  /** So many runs of a controller and notes behind it: all but the first of a run's notes may leave out their status. */
  const runs = (count: number, length: number) =>
    numbers(count).flatMap((run): Row[] => [
      [0, 0xb0, 7, run],
      ...numbers(length).map((n) => note(run * length + n)),
    ]);
  const own = (song: readonly Row[]) => messages(song.filter(([, status], n) => status !== song[n - 1]?.[1]));

  test('has sent those whose status the file must write, and no others', () => {
    const song = runs(10, 4);
    expect(fault(song, own(song))).toEqual({
      code: 'file-running-status',
      evidence:
        '20 messages came, which are those 20 of 50 whose status the file must write; the 30 it may leave out did not',
    });
    expect(fault(song, messages(song))).toBeUndefined();
  });

  test('three that may be left out are enough, and three that may not', () => {
    expect(fault(runs(3, 2), own(runs(3, 2)))?.code).toBe('file-running-status');
    expect(fault(runs(2, 2), own(runs(2, 2)))).toBeUndefined();
    const one = numbers(9).map((n) => note(n));
    expect(fault(one, own(one))).toBeUndefined();
    const two: Row[] = [[0, 0xb0, 7, 0], ...one, [0, 0xb0, 7, 1]];
    expect(fault(two, own(two))?.code).toBe('file-running-status');
    expect(fault(two.slice(0, -1), own(two.slice(0, -1)))).toBeUndefined();
  });

  test('a few may be missing or added: more than nine of ten are those', () => {
    const song = runs(10, 4);
    const all = own(song);
    expect(fault(song, all.slice(1))?.code).toBe('file-running-status');
    expect(fault(song, all.slice(2))).toBeUndefined();
    const strange = (count: number) => numbers(count).map((n): Message => [0xe5, n, n]);
    expect(fault(song, [...all, ...strange(2)])?.code).toBe('file-running-status');
    expect(fault(song, [...all, ...strange(3)])).toBeUndefined();
  });

  test('of those that may be left out fewer than two of ten came', () => {
    // A hundred that must be written keep these few below a tenth of all.
    const song = runs(50, 2);
    const leftOut = messages(song.filter(([, status], n) => status === song[n - 1]?.[1]));
    const of = (count: number) => fault(song, [...own(song), ...leftOut.slice(0, count)])?.code;
    expect([of(9), of(10)]).toEqual(['file-running-status', undefined]);
  });

  test('a SysEx ends it, and each track has its own', () => {
    const SYSEX: Row = [0, 0xf0, 0, 0];
    const apart = numbers(9).flatMap((n): Row[] => [note(n), SYSEX]);
    expect(fault(apart, [])).toBeUndefined();
    const inTurn = numbers(12).map((n) => note(n, 0, n % 2));
    // Two of twelve must be written; a third has another channel.
    const more: Row[] = [...inTurn, [0, 0xb0, 1, 1]];
    expect(fault(more, messages([more[0]!, more[1]!, more[12]!]))?.code).toBe('file-running-status');
  });

  test('SysEx that came are none of its messages', () => {
    const song = runs(10, 4);
    const sysEx = numbers(30).map((): Message => [0xf0, 0, 0]);
    expect(fault(song, [...own(song), ...sysEx])?.evidence).toContain('20 messages came');
  });

  test('that was heard from mid-song on has as many less', () => {
    // Where hardly a message may be left out, nearly all came.
    const song: Row[] = [
      ...numbers(300).map((n): Row => [0, n % 2 === 0 ? 0xb0 : 0x90, n & 127, 1 + (n >> 7)]),
      note(500),
      note(501),
      note(502),
      note(503),
    ];
    const all = own(song);
    expect(all).toHaveLength(300);
    expect(fault(song, all)).toBeUndefined();
    const shorter = song.slice(0, 100).concat(song.slice(300));
    expect(fault(shorter, own(shorter))?.code).toBe('file-running-status');
    expect(fault(shorter, own(shorter), 3)).toBeUndefined();
  });
});

describe('a reader that keeps one running status for all tracks', () => {
  /** Two tracks whose notes alternate: each leaves out its status, and the other’s stands before it. */
  const song = numbers(100).map((n) => note(n, n % 2, n % 2));
  const moved = (rows: readonly Row[], count: number) =>
    rows.map(
      ([, status, data1, data2], n): Message => [n % 2 === 1 && n < 2 * count ? 0x90 : status, data1, data2],
    );

  test('has sent the song’s data bytes under other statuses', () => {
    expect(fault(song, moved(song, 50))).toEqual({
      code: 'running-status-across-tracks',
      evidence:
        "50 messages came with their own data bytes under another status; 100 % of the song's data bytes came",
    });
    expect(fault(song, moved(song, 0))).toBeUndefined();
  });

  test('three are enough', () => {
    expect(fault(song, moved(song, 3))?.evidence).toContain('3 messages came');
    expect(fault(song, moved(song, 2))).toBeUndefined();
    expect(fault(song, moved(song, 8), 5)?.evidence).toContain('8 messages came');
    expect(fault(song, moved(song, 7), 5)).toBeUndefined();
  });

  test('unless the song is long: three of a thousand are more than chance', () => {
    const long = numbers(2000).map((n) => note(n, n % 2, n % 2));
    const came = (count: number) => moved(long, count).slice(0, 1900);
    expect(fault(long, came(7))?.evidence).toContain('7 messages');
    expect(fault(long, came(6))).toBeUndefined();
  });

  test('and five times as many as bytes are broken', () => {
    expect(fault(song, moved(song, 16), 0, 3)?.evidence).toContain('16 messages');
    expect(fault(song, moved(song, 15), 0, 3)).toBeUndefined();
  });

  test('where more than nine of ten of the song’s data bytes came', () => {
    expect(fault(song, moved(song, 20).slice(0, 91))?.evidence).toContain('91 % of');
    expect(fault(song, moved(song, 20).slice(0, 90))).toBeUndefined();
  });

  test('not in a song of one track, nor by messages of one data byte', () => {
    const one = song.map(([, ...message]): Row => [7, ...message]);
    // It has nothing to leave out, but for a run at its end.
    const run = [...one, ...numbers(5).map((n) => note(200 + n, 0, 7))];
    expect(fault(run, moved(run, 50))).toBeUndefined();
    const two = run.map(([, status, ...rest], n): Row => [n === 0 ? 6 : 7, status, ...rest]);
    expect(fault(two, moved(two, 50))?.code).toBe('running-status-across-tracks');
    const programs = numbers(100).map((n): Row => [n % 2, 0xc0 | (n % 2), n, 0]);
    const under = programs.map(([, , data1, data2]): Message => [0xc0, data1, data2]);
    expect(fault(programs, under)).toBeUndefined();
  });
});

test('where more than 995 of a thousand messages came as written, nothing is wrong with their statuses', () => {
  const song = numbers(1000).map((n) => note(n, n % 2, n % 2));
  const moved = (count: number) =>
    song.map(
      ([, status, data1, data2], n): Message => [n % 2 === 1 && n < 2 * count ? 0x90 : status, data1, data2],
    );
  expect([fault(song, moved(4))?.code, fault(song, moved(5))?.code]).toEqual([
    undefined,
    'running-status-across-tracks',
  ]);
});

test('releases are one however they are written', () => {
  const song = numbers(20).flatMap((n): Row[] => [
    [0, 0x90, n, 64],
    [0, 0x90, n, 0],
  ]);
  const came = numbers(20).flatMap((n): Message[] => [
    [0x90, n, 64],
    [0x80, n, 64],
  ]);
  expect(fault(song, came)).toBeUndefined();
});
