import { describe, expect, test } from 'vitest';
import type { Evidence } from '../../../../src/core/compare/causes/evidence.ts';
import { overSysEx } from '../../../../src/core/compare/causes/over-sysex.ts';
import { sysExUnended } from '../../../../src/core/compare/causes/sysex-unended.ts';
import { Fault } from '../../../../src/core/midi/stream-fault.ts';

interface Laid {
  /** Messages before each SysEx. */
  readonly sysEx?: readonly number[];
  /** Kind, and messages before it. */
  readonly faults?: readonly (readonly [kind: number, message: number])[];
  /** Status of each row of the song; which rows are notes that did not come, and which of these nobody listened to. */
  readonly rows?: readonly number[];
  readonly lost?: readonly number[];
  readonly unheard?: readonly number[];
}

function told({ sysEx = [], faults = [], rows = [], lost = [], unheard = [] }: Laid): string | undefined {
  const notes = [...rows.keys()].filter((row) => rows[row] === 0x90);
  return overSysEx({
    heard: {
      sysEx: { count: sysEx.length, message: Uint32Array.from(sysEx) },
      faults: {
        count: faults.length,
        kind: Uint8Array.from(faults, ([kind]) => kind),
        message: Uint32Array.from(faults, ([, message]) => message),
      },
    },
    written: { count: notes.length, row: Uint32Array.from(notes) },
    timeline: { columns: { status: Uint8Array.from(rows) } },
    matched: { matching: { heardOf: Int32Array.from(notes, (row, n) => (lost.includes(row) ? -1 : n)) } },
    coverage: { isUnheard: Uint8Array.from(notes, (row) => (unheard.includes(row) ? 1 : 0)) },
  } as unknown as Evidence);
}

const stray = (message: number) => [Fault.strayData, message] as const;

describe('running status kept over a SysEx, by stray data behind it', () => {
  test('is seen where they stand right behind one, and said with how many', () => {
    expect(told({ sysEx: [4, 9], faults: [stray(5), stray(5), stray(10)] })).toBe(
      'after 2 of 2 SysEx messages data bytes came without a status (3 bytes)',
    );
    expect(told({ sysEx: [4, 9, 20], faults: [stray(5)] })).toBe(
      'after 1 of 3 SysEx messages data bytes came without a status (1 bytes)',
    );
    expect(told({ sysEx: [4], faults: [stray(4)] })).toBeUndefined();
    expect(told({ sysEx: [4], faults: [stray(6)] })).toBeUndefined();
    expect(told({ faults: [stray(1)] })).toBeUndefined();
  });

  test('of more than six of ten stray bytes', () => {
    const of = (behind: number, elsewhere: number) =>
      told({
        sysEx: [4],
        faults: [
          ...Array.from({ length: behind }, () => stray(5)),
          ...Array.from({ length: elsewhere }, () => stray(50)),
        ],
      });
    expect(of(7, 4)).toBe('after 1 of 1 SysEx messages data bytes came without a status (7 bytes)');
    expect(of(6, 4)).toBeUndefined();
  });

  test('not those that an F7 ends: they are a SysEx whose F0 is gone', () => {
    expect(told({ sysEx: [4], faults: [stray(5), [Fault.strayEnd, 5]] })).toBeUndefined();
    expect(told({ sysEx: [4, 9], faults: [stray(5), stray(10), [Fault.strayEnd, 5]] })).toBe(
      'after 1 of 2 SysEx messages data bytes came without a status (1 bytes)',
    );
  });

  test('nor where as many messages are broken anywhere', () => {
    const cut = [Fault.truncated, 77] as const;
    expect(told({ sysEx: [4, 9], faults: [stray(5), stray(10), cut] })).toContain('after 2 of 2');
    expect(told({ sysEx: [4, 9], faults: [stray(5), stray(10), cut, cut] })).toBeUndefined();
  });
});

describe('by notes that are missing', () => {
  const SYSEX = 0xf0;
  const NOTE = 0x90;
  /** So many times a SysEx, some messages, a note, and a note farther behind. */
  const song = (times: number, between: number) =>
    Array.from({ length: times }, () => [
      SYSEX,
      ...new Array<number>(between).fill(0xb0),
      NOTE,
      0xb0,
      0xb0,
      0xb0,
      NOTE,
    ]).flat();
  const behind = (times: number, between: number) =>
    Array.from({ length: times }, (_, n) => n * (between + 6) + between + 1);

  test('the next three messages behind a SysEx, of three at least', () => {
    const of = (times: number, between: number) =>
      told({ sysEx: [1], rows: song(times, between), lost: behind(times, between) });
    expect(of(3, 0)).toBe('3 of the 3 notes that are missing were the next after a SysEx');
    expect(of(3, 2)).toBe('3 of the 3 notes that are missing were the next after a SysEx');
    expect(of(3, 3)).toBeUndefined();
    expect(of(2, 0)).toBeUndefined();
    expect(told({ sysEx: [1], rows: song(3, 0) })).toBeUndefined();
  });

  test('and six of ten of all that are', () => {
    const others = (count: number) =>
      told({
        sysEx: [1],
        rows: song(6, 0),
        lost: [...behind(3, 0), ...behind(count, 0).map((row) => row + 4)],
      });
    expect(others(2)).toBe('3 of the 5 notes that are missing were the next after a SysEx');
    expect(others(3)).toBeUndefined();
  });

  test('those to which nobody listened are none', () => {
    const rows = song(4, 0);
    expect(told({ sysEx: [1], rows, lost: behind(4, 0), unheard: behind(1, 0) })).toBe(
      '3 of the 3 notes that are missing were the next after a SysEx',
    );
    expect(told({ sysEx: [1], rows, lost: behind(4, 0), unheard: behind(2, 0) })).toBeUndefined();
  });

  test('only where a SysEx came, and no other fault is there', () => {
    const lost = { rows: song(3, 0), lost: behind(3, 0) };
    expect(told(lost)).toBeUndefined();
    expect(told({ ...lost, sysEx: [1], faults: [[Fault.truncated, 50]] })).toBeUndefined();
    // At the beginning of a song nothing is before the first note.
    expect(told({ sysEx: [1], rows: [NOTE, NOTE, NOTE], lost: [0, 1, 2] })).toBeUndefined();
    expect(told({ sysEx: [1], rows: [SYSEX, NOTE, NOTE, NOTE], lost: [1, 2, 3] })).toContain('3 of the 3');
  });
});

test('SysEx without an end are told where they are half of all', () => {
  const of = (...cut: number[]) =>
    sysExUnended({
      heard: { sysEx: { count: cut.length, cut: Uint8Array.from(cut) } },
    } as unknown as Evidence);
  expect(of(1)).toBe('1 of 1 SysEx message had no F7 at the end');
  expect(of(1, 0)).toBe('1 of 2 SysEx messages had no F7 at the end');
  expect(of(1, 1, 0, 1)).toBe('3 of 4 SysEx messages had no F7 at the end');
  expect(of(1, 0, 0)).toBeUndefined();
  expect(of(0, 0)).toBeUndefined();
  expect(of()).toBeUndefined();
});
