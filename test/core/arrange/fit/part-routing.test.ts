import { describe, expect, test } from 'vitest';
import { fitParts } from '../../../../src/core/arrange/fit/fit-parts.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Bank, Instrument } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText, END, textOf } from './rows-as-text.ts';

const NO_DRUMS = { channels: [], keys: new Map<number, string>(), kits: new Map<number, string>() };

function routed(
  traits: Partial<Instrument>,
  lines: readonly string[],
  { drums = [], by = 'notes' }: { drums?: number[]; by?: 'notes' | 'worth' } = {},
) {
  const instrument = { ...GENERAL_MIDI, drums: NO_DRUMS, ...traits };
  const fit = fitParts(columnsOfText(...lines), END, instrument, drums, by);
  if (fit === undefined) return undefined;
  const { columns, origin: _, ...told } = fit;
  return { ...told, rows: textOf(columns) };
}
const rowsOf = (traits: Partial<Instrument>, ...lines: string[]) => routed(traits, lines)!.rows;

const hex = (byte: number) => byte.toString(16).toUpperCase().padStart(2, '0');
const note = (channel: number, key: number, on: number, off: number) => [
  `${on} ${hex(0x90 | channel)} ${hex(key)} 40`,
  `${off} ${hex(0x80 | channel)} ${hex(key)} 40`,
];
/** So many short notes, each on a key of its own. */
const many = (channel: number, on: number) =>
  [20, 21, 22, 23].flatMap((key) => note(channel, key, on, on + 1));
/** Two channels that play together all the time, each with a sound of its own and notes enough: they have both parts. */
const FULL = [
  ...['0 C0 05', '0 C1 06', ...note(0, 60, 0, 1000), ...note(1, 62, 0, 1000)],
  ...[...many(0, 300), ...many(1, 300)],
];
const TWO = { channels: [0, 1], parts: 2 };

describe('where nothing has to move', () => {
  test('there is nothing to route: channels that are heard, and no more of them than parts', () => {
    expect(routed(TWO, FULL)).toBeUndefined();
    expect(routed({ channels: [1, 2], parts: 2 }, FULL)).toBeDefined();
    expect(routed({ channels: [0, 1], parts: 1 }, FULL)).toBeDefined();
  });

  test('channels without a note and drums that stay count for nothing', () => {
    const drums = { ...NO_DRUMS, channels: [9] };
    const lines = [...FULL, '0 C5 01', ...note(9, 36, 0, 1)];
    expect(routed({ channels: [0, 1, 9], parts: 2, drums }, lines, { drums: [9] })).toBeUndefined();
    expect(
      routed({ channels: [0, 1, 8], parts: 2, drums: { ...NO_DRUMS, channels: [8] } }, FULL, { drums: [9] }),
    ).toBeUndefined();
  });
});

describe('a part that plays on another channel', () => {
  test('its program is sent before its first note, its notes and their ends go there', () => {
    const { rows, moves, otherProgram, withoutPart, keyTaken, drumChannels } = routed(
      { channels: [3], parts: 1 },
      ['0/1 C0 05', ...note(0, 60, 10, 20), '30 90 40 40', '40 90 40 00', '50 80 40 40'],
    )!;
    expect(rows).toEqual(['10 C3 05', '10 93 3C 40', '20 83 3C 40', '30 93 40 40', '40 93 40 00']);
    expect(moves).toEqual([{ from: 0, to: 3, why: 'program', notes: 2 }]);
    expect([otherProgram, withoutPart, keyTaken, drumChannels]).toEqual([[], [], [], []]);
  });

  test('system messages stay; a note without an end has none there', () => {
    expect(rowsOf({ channels: [3], parts: 1 }, '0 F0 7D 01 F7', '5 90 3C 40', '6 80 3D 40')).toEqual([
      '0 F0 7D 01 F7',
      '5 C3 00',
      '5 93 3C 40',
    ]);
  });

  test('what it set before comes with it, what it sets then goes there; what nobody plays goes nowhere', () => {
    const rows = rowsOf(
      { channels: [3], parts: 1 },
      ...['0 C0 05', '0 B0 07 50', '1 B0 00 01', '2 B1 07 20', '3 E0 00 41'],
      ...note(0, 60, 10, 20),
      ...['12 B0 01 05', '13 B1 01 06', '14 A0 3C 10', '15 B0 20 01'],
    );
    expect(rows).toEqual([
      '0 B3 07 50',
      '3 E3 00 41',
      '10 C3 05',
      '10 93 3C 40',
      '12 B3 01 05',
      '14 A3 3C 10',
      '20 83 3C 40',
    ]);
  });

  test('of a bank only the halves that the instrument heeds are sent, and only where it changes', () => {
    const bank = (msb: number | undefined, lsb: number | undefined): Bank => ({
      ...GENERAL_MIDI.banks[0]!,
      msb,
      lsb,
    });
    const song = [
      '0 B0 00 02',
      '0 B0 20 03',
      '0 C0 05',
      ...note(0, 60, 10, 20),
      '25 C0 06',
      ...note(0, 60, 100, 140),
    ];
    const sent = (...banks: Bank[]) =>
      rowsOf({ channels: [3], parts: 1, banks }, ...song).filter((row) => !/ [89]3 /.test(row));
    expect(sent(bank(2, undefined))).toEqual(['10 B3 00 02', '10 C3 05', '100 C3 06']);
    expect(sent(bank(undefined, 3))).toEqual(['10 B3 20 03', '10 C3 05', '100 C3 06']);
    expect(sent(bank(2, undefined), bank(undefined, 3))).toEqual([
      '10 B3 00 02',
      '10 B3 20 03',
      '10 C3 05',
      '100 C3 06',
    ]);
    // Bank 0 needs no selection on a channel that nothing was selected on.
    const plain = ['0 C0 05', ...note(0, 60, 10, 20)];
    const banks = [bank(2, 3)];
    expect(rowsOf({ channels: [4], parts: 1, banks }, ...plain).slice(0, 2)).toEqual([
      '10 C4 05',
      '10 94 3C 40',
    ]);
    const other = rowsOf({ channels: [4], parts: 1, banks }, '0 B0 00 02', ...plain);
    expect(other.slice(0, 3)).toEqual(['10 B4 00 02', '10 B4 20 00', '10 C4 05']);
    expect(sent(bank(undefined, undefined))).toEqual(['10 C3 05', '100 C3 06']);
  });
});

describe('parts one after another on one channel', () => {
  const ONE = { channels: [0], parts: 1 };
  /** Piano for a while, then a louder flute from channel 2, then the piano again. */
  const song = [
    ...['0 C0 00', '0 C1 49', '0 B0 07 50', '0 B1 07 60', '0 B1 01 05'],
    ...note(0, 60, 0, 100),
    ...note(1, 72, 300, 310),
    ...note(1, 74, 320, 400),
    ...note(0, 60, 600, 700),
  ];

  test('each is set up with its own settings as it begins, and again as it comes back', () => {
    expect(rowsOf(ONE, ...song)).toEqual([
      '0 B0 07 50',
      '0 C0 00',
      '0 90 3C 40',
      '100 80 3C 40',
      '300 C0 49',
      '300 B0 01 05',
      '300 B0 07 60',
      '300 90 48 40',
      '310 80 48 40',
      '320 90 4A 40',
      '400 80 4A 40',
      '600 C0 00',
      '600 B0 01 00',
      '600 B0 07 50',
      '600 90 3C 40',
      '700 80 3C 40',
    ]);
  });

  test('with a pause after programs, as long before as it takes: behind the row before, in the track of the part', () => {
    const pauses = { ...GENERAL_MIDI.pauses, afterProgramMicros: 150_000 };
    const flute = song.map((line) => line.replace(/^(\d+) ([89]1)/, '$1/2 $2'));
    const rows = rowsOf({ ...ONE, pauses }, ...flute);
    // 300 − 150 is 150: the last row not after it is the end of the piano, at 100.
    expect(rows.slice(3, 8)).toEqual([
      '100 80 3C 40',
      '100/2 C0 49',
      '100/2 B0 01 05',
      '100/2 B0 07 60',
      '300/2 90 48 40',
    ]);
    // What sets the flute up between goes where the flute is set up already.
    const later = rowsOf(
      { ...ONE, pauses },
      ...flute,
      '200 B1 07 61',
      '200 B0 07 51',
      '450 B0 0A 11',
      '599 B0 0A 12',
    );
    expect(later.filter((row) => / B0 (07|0A) /.test(row))).toEqual([
      '0 B0 07 50',
      '100/2 B0 07 60',
      '200 B0 07 61',
      '450 B0 07 51',
      '450 B0 0A 11',
      '599 B0 0A 12',
    ]);
  });
});

test('a channel is set up anew where the rest is long enough for it: 50 ms, or the pause and what dies away', () => {
  const isSetUp = (rest: number, traits: Partial<Instrument> = {}) => {
    const lines = ['0 C0 00', '0 C1 49', ...note(0, 60, 0, 100), ...note(1, 72, 100 + rest, 400)];
    return rowsOf({ channels: [0], parts: 1, ...traits }, ...lines).some((row) => row.endsWith('C0 49'));
  };
  const pause = (millis: number) => ({
    pauses: { ...GENERAL_MIDI.pauses, afterProgramMicros: millis * 1000 },
  });
  expect([isSetUp(50), isSetUp(49)]).toEqual([true, false]);
  expect([isSetUp(200, { releaseMicros: 200_000 }), isSetUp(199, { releaseMicros: 200_000 })]).toEqual([
    true,
    false,
  ]);
  const both = { releaseMicros: 20_000, ...pause(60) };
  expect([isSetUp(80, both), isSetUp(79, both), isSetUp(50, pause(30))]).toEqual([true, false, true]);
});

test('behind the very first row of a song there is time as well, before it there is none', () => {
  const pauses = { ...GENERAL_MIDI.pauses, afterProgramMicros: 150_000 };
  const traits = { channels: [3], parts: 1, pauses };
  expect(rowsOf(traits, '0 F0 7D 01 F7', ...note(0, 60, 200, 300)).slice(0, 3)).toEqual([
    '0 F0 7D 01 F7',
    '0 C3 00',
    '200 93 3C 40',
  ]);
  expect(rowsOf(traits, ...note(0, 60, 200, 300)).slice(0, 2)).toEqual(['200 C3 00', '200 93 3C 40']);
});

describe('a channel of two sounds at once', () => {
  test('what it sets goes to both places that have its settings', () => {
    const rows = rowsOf(
      { channels: [0, 1], parts: 2 },
      ...['0 C0 05', ...note(0, 60, 0, 900), '400 C0 06', ...note(0, 64, 500, 600), '550/1 B0 07 33'],
      // A third channel, since two would have nothing to route.
      ...note(2, 40, 5000, 5100),
    );
    expect(rows.filter((row) => row.includes('07 33'))).toEqual(['550/1 B1 07 33', '550/1 B0 07 33']);
    expect(rows).toContain('500 C1 06');
    expect(rows).toContain('500 91 40 40');
    expect(rows).toContain('900 80 3C 40');
  });
});

describe('channels of one sound that play along', () => {
  test('strike as loud as they were, with the volume and expression of the one that leads', () => {
    const loud = (strike: string, ...before: string[]) =>
      rowsOf(
        { channels: [0], parts: 1 },
        ...before,
        ...note(0, 60, 10, 20),
        ...note(0, 62, 20, 30),
        `12 91 48 ${strike}`,
        '14 81 48 40',
      ).find((row) => row.startsWith('12 '));
    expect(loud('40')).toBe('12 90 48 40');
    expect(loud('40', '0 B1 07 32')).toBe('12 90 48 20');
    expect(loud('40', '0 B0 07 32')).toBe('12 90 48 7F');
    expect(loud('40', '0 B0 0B 40', '0 B1 0B 20')).toBe('12 90 48 20');
    expect(loud('01', '0 B1 07 01')).toBe('12 90 48 01');
    expect(
      routed({ channels: [0], parts: 1 }, [...note(0, 60, 10, 20), ...note(1, 62, 10, 20)])!.moves,
    ).toEqual([{ from: 1, to: 0, why: 'program', notes: 1 }]);
  });
});

describe('a note whose part has no place', () => {
  /** On a third channel, a sound between the two, struck while both play. */
  const guest = (...more: string[]) => routed(TWO, [...FULL, '0 C2 04', ...more])!;

  test('plays in the part whose program is nearest: told as another program', () => {
    // 4 is an electric piano and so is 5; 6 is a harpsichord (General MIDI 1).
    const { rows, otherProgram, withoutPart, moves } = guest('0 B2 07 32', ...note(2, 70, 500, 600));
    expect(rows).toContain('500 90 46 20');
    expect(rows).toContain('600 80 46 40');
    expect(moves).toEqual([{ from: 2, to: 0, why: 'other-program', notes: 1 }]);
    expect([otherProgram.length, withoutPart]).toEqual([1, []]);
    expect(guest('1 C2 07', ...note(2, 70, 500, 600)).moves).toMatchObject([{ to: 1 }]);
  });

  test('also in a part of a single note', () => {
    const one = ['0 C0 05', ...note(0, 60, 0, 1000), '0 C2 04', ...note(2, 70, 500, 600)];
    expect(routed({ channels: [0], parts: 1 }, one)!.moves).toEqual([
      { from: 2, to: 0, why: 'other-program', notes: 1 },
    ]);
  });

  test('in a part of its own sound it plays on with its program: their keys had kept them apart', () => {
    const { moves, otherProgram } = guest('0 C2 05', ...note(2, 60, 500, 600), ...note(2, 70, 700, 710));
    expect(moves).toEqual([
      { from: 2, to: 1, why: 'other-program', notes: 1 },
      { from: 2, to: 0, why: 'program', notes: 1 },
    ]);
    expect(otherProgram.length).toBe(1);
  });

  test('in the next nearest, or nowhere, where the key sounds already', () => {
    expect(guest(...note(2, 60, 500, 600)).moves).toMatchObject([{ to: 1 }]);
    expect(
      guest(...note(2, 60, 1100, 1200), ...note(0, 70, 2000, 2001), ...note(1, 70, 2000, 2001)).moves,
    ).toMatchObject([{ to: 0 }]);
    // Two guests on one key, the second while the first sounds and behind it.
    const { moves } = guest(
      ...note(2, 70, 500, 600),
      '0 C3 04',
      ...note(3, 70, 550, 560),
      ...note(3, 70, 700, 710),
    );
    expect(moves).toEqual([
      { from: 2, to: 0, why: 'other-program', notes: 1 },
      { from: 3, to: 1, why: 'other-program', notes: 1 },
      { from: 3, to: 0, why: 'other-program', notes: 1 },
    ]);
    const both = [
      ...FULL,
      ...note(0, 50, 400, 900),
      ...note(1, 50, 400, 900),
      '0 C2 04',
      ...note(2, 50, 500, 600),
    ];
    const { withoutPart, rows } = routed(TWO, both)!;
    expect(withoutPart.length).toBe(1);
    expect(rows.some((row) => row.startsWith('500 ') || row.startsWith('600 '))).toBe(false);
  });

  test('not where the part is bent, pedalled or cut while it sounds', () => {
    const to = (...more: string[]) => guest(...note(2, 70, 500, 600), ...more).moves.map((move) => move.to);
    expect(to('550 E0 00 41')).toEqual([1]);
    expect(to('550 B0 7B 00')).toEqual([1]);
    expect(to('450 B0 40 7F', '490 B0 40 00')).toEqual([0]);
    expect(to('650 E0 00 41', '660 B0 78 00')).toEqual([0]);
    expect(to('550 E0 00 41', '550 B1 40 7F')).toEqual([]);
  });

  test('not before a part has begun, nor at the tick at which it was set up, nor past what comes next there', () => {
    // Together with the first notes: nobody may be heard before it is set up.
    const atOnce = guest(...note(2, 70, 0, 10));
    expect([atOnce.withoutPart.length, atOnce.moves]).toEqual([1, []]);
    expect(guest(...note(2, 70, 1, 10)).withoutPart).toEqual([]);
    // Both change their sounds at 2000: what would sound on behind that is not taken in.
    const next = ['1500 C0 30', ...many(0, 2000), '1500 C1 31', ...many(1, 2000)];
    expect(guest(...next, ...note(2, 70, 1200, 1999)).withoutPart).toEqual([]);
    const third = guest(...next, '10 C2 04', ...note(2, 70, 1200, 2001));
    expect([third.withoutPart.length, third.otherProgram.length]).toEqual([1, 0]);
  });

  test('not past the moment at which the part is set up anew, where that is before its first note', () => {
    // Both change their sounds at 2000, and are told so by 1900: at the row before 1950, which is at 1500.
    const pauses = { ...GENERAL_MIDI.pauses, afterProgramMicros: 100_000 };
    const next = ['1500 C0 30', ...many(0, 2000), '1500 C1 31', ...many(1, 2000)];
    const until = (off: number) =>
      routed({ ...TWO, pauses }, [...FULL, '0 C2 04', ...next, ...note(2, 70, 1200, off)])!;
    expect(until(1950).rows).toContain('1500 C0 30');
    expect(until(1950).withoutPart).toHaveLength(1);
    expect(until(1499).withoutPart).toHaveLength(0);
  });
});

describe('drums', () => {
  const drums = { ...NO_DRUMS, channels: [3] };

  test('move alone where all channels are heard; what was sent to the channel they get goes', () => {
    const { rows, moves, drumChannels } = routed(
      { channels: [0, 1, 3], parts: 2, drums },
      [...FULL, '0 C3 07', '0 B3 07 01', '0 C9 08', '5 B0 07 11', ...note(9, 36, 10, 20)],
      { drums: [9] },
    )!;
    expect(rows.filter((row) => !FULL.includes(row))).toEqual([
      '0 C3 08',
      '5 B0 07 11',
      '10 93 24 40',
      '20 83 24 40',
    ]);
    expect(rows.filter((row) => FULL.includes(row))).toEqual(
      FULL.slice().sort((a, b) => Number.parseInt(a, 10) - Number.parseInt(b, 10)),
    );
    expect(moves).toEqual([{ from: 9, to: 3, why: 'drums', notes: 1 }]);
    expect(drumChannels).toEqual([3]);
  });

  test('and beside parts that move; kits that differ and keys that clash are told', () => {
    const kits = new Map([
      [0, 'one'],
      [8, 'other'],
    ]);
    const { rows, keyTaken, otherProgram } = routed(
      { channels: [3, 4], parts: 1, drums: { ...drums, kits } },
      [
        ...note(0, 60, 0, 10),
        ...[
          '20 99 24 40',
          '25 89 24 40',
          '21 9A 24 40',
          '26 8A 24 40',
          '30 CA 08',
          '40 9A 26 40',
          '45 8A 26 40',
        ],
      ],
      { drums: [9, 10] },
    )!;
    expect(rows).toEqual([
      '0 C4 00',
      '0 94 3C 40',
      '10 84 3C 40',
      '20 93 24 40',
      '25 83 24 40',
      '40 93 26 40',
      '45 83 26 40',
    ]);
    expect([keyTaken.length, otherProgram.length]).toEqual([1, 1]);
  });
});

describe('what parts are given to', () => {
  const ONE = { channels: [0], parts: 1 };
  // Two short notes of channel 1 against a long loud one of channel 2, at once.
  const clash = [
    '0 C0 10',
    '0 C1 11',
    ...note(0, 60, 0, 50),
    ...note(0, 62, 60, 100),
    '10 91 48 7F',
    '900 81 48 40',
  ];

  test('as many notes as can be, or what is worth most', () => {
    expect(routed(ONE, clash)!.rows).toContain('0 C0 10');
    expect(routed(ONE, clash)!.rows).not.toContain('10 C0 11');
    expect(routed(ONE, clash, { by: 'worth' })!.rows).toContain('10 C0 11');
  });

  test('channels with most notes keep theirs', () => {
    const lines = [
      ...note(5, 60, 0, 10),
      ...note(6, 60, 0, 10),
      ...note(6, 62, 20, 30),
      ...note(7, 64, 0, 10),
    ];
    const sounds = ['0 C5 01', '0 C6 12', '0 C7 30'];
    const { moves, rows } = routed({ channels: [5, 6, 8], parts: 1 }, [...sounds, ...lines])!;
    expect(rows).toContain('0 C6 12');
    expect(moves.every(({ to }) => to === 6)).toBe(true);
    // Of those that are heard the one that has notes, though another part is played there.
    expect(routed({ channels: [7, 8], parts: 1 }, [...sounds, ...lines])!.rows).toContain('0 C7 12');
    expect(routed({ channels: [1, 8], parts: 1 }, [...sounds, ...lines])!.rows).toContain('0 C1 12');
  });
});
