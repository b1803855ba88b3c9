import { describe, expect, test } from 'vitest';
import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import type { PackOptions } from '../../../../src/core/wire/packing/pack-options.ts';
import { NO_ROW, RowKind } from '../../../../src/core/wire/packing/row-rules.ts';
import { toHex } from '../../../support/hex.ts';
import { columnsOf, type Moment } from '../columns-of.ts';
import { stagesOf } from './stages.ts';

const KINDS = Object.keys(RowKind);
const SYSEX = 'F0 7F 7F 04 01 00 40 F7';

/** Rows as `message kind earliest`, in the order of the file. */
function linesOf(columns: TimelineColumns, options: PackOptions = {}): string[] {
  const { rules, columns: sorted } = stagesOf(columns, { setupFirst: false, ...options });
  return Array.from({ length: sorted.count }, (_, row) => {
    const status = sorted.status[row]!;
    const message = status >= 0xf0 ? 'F0' : toHex([status, sorted.data1[row]!, sorted.data2[row]!]);
    return `${message} ${KINDS[rules.kind[row]!]} ${rules.earliest[row]}`;
  });
}

const rules = (...moments: Moment[]) => linesOf(columnsOf(...moments));
/** The last line alone. */
const last = (...moments: Moment[]) => rules(...moments).at(-1);

describe('how early a setup may go', () => {
  test('on a silent channel by a second, but not before what went before it there', () => {
    expect(rules([0, 'B1 07 64'], [3_000_000, 'C0 05', 'B0 07 64', '90 3C 40'])).toEqual([
      'B1 07 64 fence -1000000',
      'C0 05 00 fence 2000000',
      'B0 07 64 fence 2000000',
      '90 3C 40 onset 3000000',
    ]);
    expect(last([0, 'C0 05'], [500_000, 'B0 07 64'])).toBe('B0 07 64 fence -500000');
    // A fence moves; what stands behind it may follow it, and no further.
    expect(last([300_000, 'C0 05'], [2_900_000, 'C0 06'], [3_000_000, 'B0 07 64'])).toBe(
      'B0 07 64 fence 2000000',
    );
    expect(last([2_900_000, '90 3C 40', '80 3C 40'], [3_000_000, 'B0 07 64'])).toBe('B0 07 64 fence 2900000');
  });

  test('by what the options say, and not before the lead-in', () => {
    const columns = columnsOf([0, 'C0 05'], [3_000_000, 'C0 06']);
    expect(linesOf(columns, { setupEarlyMicros: 1234, leadInMicros: 0 })).toEqual([
      'C0 05 00 fence 0',
      'C0 06 00 fence 2998766',
    ]);
    expect(linesOf(columns, { leadInMicros: 700 })).toEqual([
      'C0 05 00 fence -700',
      'C0 06 00 fence 2000000',
    ]);
  });

  test('on a sounding channel: controllers, bends and pressure 10 ms, programs and mode messages nothing', () => {
    const sounding = (message: string) => last([0, '90 3C 40'], [3_000_000, message]);
    for (const message of ['B0 07 64', 'B0 77 00', 'B0 40 00'])
      expect(sounding(message)).toBe(`${message} fence 2990000`);
    expect(sounding('E0 00 40')).toBe('E0 00 40 fence 2990000');
    expect(sounding('D0 40')).toBe('D0 40 00 fence 2990000');
    expect(sounding('A0 3C 40')).toBe('A0 3C 40 fence 2990000');
    expect(sounding('C0 05')).toBe('C0 05 00 fence 3000000');
    for (const mode of [120, 121, 123, 127].map((controller) => toHex([0xb0, controller, 0])))
      expect(sounding(mode)).toBe(`${mode} fence 3000000`);
    // What nothing sounding hears: as if the channel were silent. Bends and programs have no controller number.
    for (const inert of ['B0 00 01', 'B0 40 7F', 'B0 65 00'])
      expect(sounding(inert)).toBe(`${inert} fence 2000000`);
    expect(sounding('C0 00')).toBe('C0 00 00 fence 3000000');
    expect(sounding('E0 00 00')).toBe('E0 00 00 fence 2990000');
    expect(sounding('E0 7B 00')).toBe('E0 7B 00 fence 2990000');
  });

  test('by 10 ms or what the options say, not before the note', () => {
    const columns = columnsOf([0, '90 3C 40'], [4000, 'E0 00 40'], [50_000, 'E0 00 41']);
    expect(linesOf(columns).slice(1)).toEqual(['E0 00 40 fence 0', 'E0 00 41 fence 40000']);
    expect(linesOf(columns, { stateEarlyMicros: 100 }).slice(1)).toEqual([
      'E0 00 40 fence 3900',
      'E0 00 41 fence 49900',
    ]);
  });
});

describe('a channel sounds', () => {
  /** A volume at three seconds may move by a second where the channel is silent, by 10 ms where it sounds. */
  const sounds = (...messages: string[]) => {
    const line = last([0, ...messages], [3_000_000, 'B0 07 64'])!;
    expect(['B0 07 64 fence 2000000', 'B0 07 64 fence 2990000']).toContain(line);
    return line.endsWith('2990000');
  };

  test('while a key is down: struck twice it wants two releases', () => {
    expect(sounds('90 3C 40')).toBe(true);
    expect(sounds('90 3C 40', '80 3C 40')).toBe(false);
    expect(sounds('90 3C 40', '90 3C 00')).toBe(false);
    expect(sounds('90 3C 40', '80 3D 40')).toBe(true);
    expect(sounds('90 3C 40', '90 3C 41', '80 3C 40')).toBe(true);
    expect(sounds('90 3C 40', '90 3C 41', '80 3C 40', '80 3C 40')).toBe(false);
    expect(sounds('90 3C 40', '90 3D 41', '80 3C 40')).toBe(true);
    expect(sounds('90 3C 40', '90 3D 41', '80 3C 40', '80 3D 40')).toBe(false);
    expect(sounds('80 3C 40', '90 3C 40')).toBe(true);
    expect(sounds('80 3C 40', '80 3C 40', '90 3C 40', '80 3C 40')).toBe(false);
    expect(sounds('91 3C 40')).toBe(false);
    expect(sounds('90 00 40', '80 00 40')).toBe(false);
    expect(sounds('90 7F 40', '81 00 40')).toBe(true);
  });

  test('and after a release with a pedal down, until all pedals are up', () => {
    expect(sounds('B0 40 7F', '90 3C 40', '80 3C 40')).toBe(true);
    expect(sounds('B0 40 7F', '90 3C 40', '80 3C 40', 'B0 40 00')).toBe(false);
    expect(sounds('B0 40 7F', 'B0 45 7F', '90 3C 40', '80 3C 40', 'B0 40 00')).toBe(true);
    expect(sounds('B0 40 7F', '90 3C 40', 'B0 40 00', '80 3C 40')).toBe(false);
    expect(sounds('90 3C 40', '80 3C 40', 'B0 40 7F')).toBe(false);
    expect(sounds('B1 40 7F', '90 3C 40', '80 3C 40')).toBe(false);
  });
});

describe('how early a note-off may go', () => {
  test('by 30 ms or what the options say, not before the middle of its note', () => {
    const columns = columnsOf([0, '90 3C 40', '90 3D 40'], [50_000, '80 3C 40'], [100_000, '80 3D 40']);
    const offs = (options: PackOptions) => linesOf(columns, options).slice(2);
    expect(offs({})).toEqual(['80 3C 40 release 25000', '80 3D 40 release 70000']);
    expect(offs({ offEarlyMicros: 0 })).toEqual(['80 3C 40 release 50000', '80 3D 40 release 100000']);
    expect(offs({ offEarlyMicros: 1_000_000 })).toEqual(['80 3C 40 release 25000', '80 3D 40 release 50000']);
  });

  test('nor before what was set before it on its channel', () => {
    const set: Moment[] = [
      [0, '90 3C 40'],
      [90_000, 'C0 05'],
    ];
    expect(last(...set, [100_000, '80 3C 40'])).toBe('80 3C 40 release 90000');
    // 10 ms early, as the bend may be itself.
    expect(last([0, '90 3C 40'], [95_000, 'E0 00 40'], [100_000, '80 3C 40'])).toBe('80 3C 40 release 85000');
    expect(last([0, '91 3C 40'], [95_000, 'C0 05'], [100_000, '81 3C 40'])).toBe('81 3C 40 release 70000');
  });

  test('one that ends nothing stays', () => {
    expect(last([0, '90 3D 40'], [100_000, '80 3C 40'])).toBe('80 3C 40 release 100000');
    expect(last([0, '90 3C 40'], [50_000, '80 3C 40'], [100_000, '80 3C 40'])).toBe(
      '80 3C 40 release 100000',
    );
  });

  test('of a key struck twice the middle is that of the last strike', () => {
    expect(last([0, '90 3C 40'], [90_000, '90 3C 40'], [100_000, '80 3C 40'])).toBe('80 3C 40 release 95000');
  });

  test('what it ends may be followed as early as it goes', () => {
    expect(last([0, '90 3C 40'], [100_000, '80 3C 40'], [200_000, 'C0 05'])).toBe('C0 05 00 fence 70000');
  });
});

describe('a SysEx', () => {
  test('goes early while nothing sounds, not before anything on any channel', () => {
    expect(last([0, '90 3C 40', '80 3C 40'], [3_000_000, SYSEX])).toBe('F0 barrier 2000000');
    expect(last([2_500_000, '9F 3C 40', '8F 3C 40'], [3_000_000, SYSEX])).toBe('F0 barrier 2500000');
    expect(last([2_400_000, '90 3C 40', '80 3C 40'], [3_000_000, SYSEX])).toBe('F0 barrier 2400000');
    expect(last([3_000_000, SYSEX])).toBe('F0 barrier 2000000');
  });

  test('stays at its moment while a note of any channel sounds', () => {
    expect(last([0, '9F 3C 40'], [3_000_000, SYSEX])).toBe('F0 barrier 3000000');
    expect(last([0, '90 3C 40', '91 3C 40', '80 3C 40'], [3_000_000, SYSEX])).toBe('F0 barrier 3000000');
    expect(last([0, '90 3C 40', '91 3C 40', '80 3C 40', '81 3C 40'], [3_000_000, SYSEX])).toBe(
      'F0 barrier 2000000',
    );
    expect(last([0, 'B0 40 7F', '90 3C 40', '80 3C 40'], [3_000_000, SYSEX])).toBe('F0 barrier 3000000');
    expect(last([0, 'B0 40 7F', '90 3C 40', '80 3C 40', 'B0 40 00'], [3_000_000, SYSEX])).toBe(
      'F0 barrier 2000000',
    );
  });

  test('holds back all behind it, on every channel', () => {
    const behind = rules(
      [0, '90 3C 40'],
      [1_000_000, SYSEX],
      [1_000_500, '80 3C 40', 'C1 05', 'B0 07 64', 'B0 00 05'],
      [1_001_000, SYSEX],
    );
    expect(behind.slice(1)).toEqual([
      'F0 barrier 1000000',
      '80 3C 40 release 1000000',
      'C1 05 00 fence 1000000',
      'B0 07 64 fence 1000000',
      'B0 00 05 fence 1000000',
      'F0 barrier 1000000',
    ]);
  });
});

describe('what is told again', () => {
  const REPEAT = 'B0 07 64 repeat';

  test('is a repeat, which may move like the first, and others may go before it', () => {
    expect(rules([0, 'B0 07 64'], [2_500_000, 'B0 07 64'], [3_000_000, 'B0 07 65'])).toEqual([
      'B0 07 64 fence -1000000',
      `${REPEAT} 1500000`,
      'B0 07 65 fence 2000000',
    ]);
    // Not a fence: a note-off may come before it.
    const told = rules([0, 'B0 07 64', '90 3C 40'], [95_000, 'B0 07 64'], [100_000, '80 3C 40']);
    expect(told.slice(2)).toEqual([`${REPEAT} 85000`, '80 3C 40 release 70000']);
  });

  test('not after a SysEx, nor on another channel', () => {
    expect(last([0, 'B0 07 64', SYSEX, 'B0 07 64'])).toMatch(/^B0 07 64 fence/);
    expect(last([0, 'B0 07 64', 'B1 07 64'])).toMatch(/^B1 07 64 fence/);
  });
});

describe('where a channel glides', () => {
  test('all that follows keeps its order: note-offs and repeats are fences, and note-offs stay where they are', () => {
    const lines = rules(
      [0, 'B0 07 64', 'B0 41 7F', '90 3C 40'],
      [500_000, 'B0 07 64', '80 3C 40'],
      [501_000, 'E0 00 40'],
      [502_000, '91 3C 40'],
      [602_000, '81 3C 40'],
    );
    expect(lines.slice(3)).toEqual([
      'B0 07 64 fence 490000',
      '80 3C 40 fence 500000',
      'E0 00 40 fence 500000',
      '91 3C 40 onset 502000',
      '81 3C 40 release 572000',
    ]);
  });

  test('from the first message of that kind on', () => {
    const strictFrom = (...messages: string[]) =>
      stagesOf(columnsOf([0, ...messages]), { setupFirst: false }).rules.strictFrom;
    expect(strictFrom('B0 07 64', 'B0 44 7F', 'B0 41 7F', 'B1 7E 01')[0]).toBe(1);
    expect(strictFrom('B0 07 64', 'B0 44 7F', 'B0 41 7F', 'B1 7E 01')[1]).toBe(3);
    expect(strictFrom('B0 41 3F', '90 41 7F', 'E0 41 7F', 'C0 41')[0]).toBe(NO_ROW);
  });
});

test('each message of a note knows the one before it on its key', () => {
  const { rules: of } = stagesOf(
    columnsOf([0, '90 3C 40', '80 3C 40', '91 3C 40', '90 3D 40', 'B0 3C 40', '90 3C 41', '90 3C 00']),
    { setupFirst: false },
  );
  expect([...of.sameKey]).toEqual([NO_ROW, 0, NO_ROW, NO_ROW, NO_ROW, 1, 5]);
});

test('early notes take their moment’s target', () => {
  expect(linesOf(columnsOf([1_000_000, '90 3C 40'], [1_000_100, 'B0 07 64']), { earlyMicros: 5000 })).toEqual(
    ['90 3C 40 onset 999040', 'B0 07 64 fence 999040'],
  );
});
