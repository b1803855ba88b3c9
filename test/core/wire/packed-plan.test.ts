import { describe, expect, test } from 'vitest';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { fileOrderPlan } from '../../../src/core/wire/file-order-plan.ts';
import { onsetBound } from '../../../src/core/wire/onset-bound.ts';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import type { PackOptions } from '../../../src/core/wire/packing/pack-options.ts';
import type { SendPlan } from '../../../src/core/wire/send-plan.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { columnsOf } from './columns-of.ts';

const hex = (byte: number) => byte.toString(16).padStart(2, '0').toUpperCase();

/** The plan as lines of `release message`, SysEx shortened to F0. */
function linesOf(plan: SendPlan): string[] {
  const { columns } = plan;
  return Array.from(plan.event, (row, i) => {
    const status = columns.status[row]!;
    const oneByte = (status & 0xe0) === 0xc0;
    const data =
      status >= 0xf0 ? [] : oneByte ? [columns.data1[row]!] : [columns.data1[row]!, columns.data2[row]!];
    return `${plan.releaseMicros[i]} ${[status, ...data].map(hex).join(' ')}`;
  });
}

const pack = (columns: TimelineColumns, options: PackOptions = {}) => packedPlan(columns, MIDI_WIRE, options);
const messagesOf = (plan: SendPlan) => linesOf(plan).map((line) => line.slice(line.indexOf(' ') + 1));
const worst = (plan: SendPlan) => onsetLatenessOf(simulatePlan(plan, MIDI_WIRE)).worstMicros;

const NOTES = (channel: number, ...keys: number[]) => keys.map((key) => `9${hex(channel)[1]} ${hex(key)} 40`);

describe('what moves early', () => {
  test('sixteen parts set up on the downbeat: the notes are late by the chord alone', () => {
    // Bank 0 and 32, program, volume, pan, reverb on sixteen channels, then a note on each, at two seconds.
    const setup = Array.from({ length: 16 }, (_, c) =>
      ['B0 00 00', 'B0 20 00', 'C0 10', 'B0 07 64', 'B0 0A 40', 'B0 5B 28'].map(
        (m) => m[0] + hex(c)[1]! + m.slice(2),
      ),
    ).flat();
    const chord = Array.from({ length: 16 }, (_, c) => NOTES(c, 60)).flat();
    const columns = columnsOf([2_000_000, ...setup, ...chord]);
    // File order: each channel B (3 + 2), C (2), B (3 + 2 + 2) = 14 bytes, then 16 notes of 3 = 272 bytes.
    expect(worst(fileOrderPlan(columns))).toBe(272 * 320);
    // Packed: sixteen notes on sixteen channels, 48 bytes: the bound.
    expect(worst(pack(columns))).toBe(48 * 320);
    expect(onsetBound(columns, MIDI_WIRE).worstMicros).toBe(48 * 320);
  });

  test('at the very beginning the setup goes into a lead-in, and not further than it must', () => {
    const columns = columnsOf([0, 'C0 05', 'B0 07 64', '90 3C 40']);
    const plan = pack(columns);
    expect(messagesOf(plan)).toEqual(['C0 05', 'B0 07 64', '90 3C 40']);
    // 2 + 3 bytes of setup = 1.6 ms, and 1.92 ms kept free before the moment.
    expect(plan.releaseMicros[0]).toBe(-3520);
    expect(worst(plan)).toBe(960);
    expect(pack(columns, { leadInMicros: 0 }).releaseMicros[0]).toBe(0);
  });

  test('a program change waits for the notes that sound on its channel', () => {
    const columns = columnsOf(
      [0, '90 3C 40'],
      [100_000, 'C0 05', '90 40 40'],
      [200_000, '80 3C 40', '80 40 40'],
    );
    expect(linesOf(pack(columns)).slice(1, 3)).toEqual(['100000 C0 05', '100000 90 40 40']);
  });

  test('a pedal keeps the channel sounding after its note-offs', () => {
    const held = columnsOf(
      [0, 'B0 40 7F', '90 3C 40'],
      [50_000, '80 3C 40'],
      [100_000, 'B0 07 30', '90 40 40'],
      [200_000, '80 40 40', 'B0 40 00'],
    );
    expect(linesOf(pack(held, { stateEarlyMicros: 0 }))).toContain('100000 B0 07 30');
    const lifted = columnsOf(
      [0, 'B0 40 7F', 'B0 45 7F', '90 3C 40'],
      [50_000, '80 3C 40'],
      [60_000, 'B0 40 00', 'B0 45 00'],
      [100_000, 'B0 07 30', '90 40 40'],
    );
    expect(linesOf(pack(lifted, { stateEarlyMicros: 0 }))).toContain('97120 B0 07 30');
    const free = columnsOf([0, '90 3C 40'], [50_000, '80 3C 40'], [100_000, 'B0 07 30', '90 40 40']);
    expect(linesOf(pack(free))).toContain('97120 B0 07 30');
  });

  test('on a sounding channel, controllers come early by 10 ms at most, and only where the wire is busy', () => {
    const volumes = Array.from({ length: 16 }, (_, i) => `B0 07 ${hex(i)}`);
    const columns = columnsOf([0, '90 3C 40'], [100_000, ...volumes, '90 40 40'], [300_000, 'B0 07 30']);
    const plan = pack(columns);
    expect(plan.releaseMicros[1]).toBe(90_000);
    expect(worst(plan)).toBe((3 + 15 * 2 + 3) * 320 - 10_000);
    expect(linesOf(plan).at(-1)).toBe('300000 B0 07 30');
  });

  test('whatever their value; a pedal that goes up ends notes, one that goes down does nothing yet', () => {
    const earliest = (message: string) => {
      // 105 bytes, 33.6 ms: the wire is taken until after the message is due.
      const crowd = Array.from({ length: 15 }, (_, c) => NOTES(c + 1, 60, 62, 64)).flat();
      const plan = pack(
        columnsOf([0, 'B0 40 7F', '90 3C 40'], [880_000, ...crowd], [901_000, message, '90 40 40', ...crowd]),
      );
      return plan.releaseMicros[messagesOf(plan).indexOf(message)]!;
    };
    for (const message of ['B0 07 7F', 'B0 07 00', 'B0 0B 7F', 'B0 40 00', 'B0 42 00'])
      expect(earliest(message), message).toBeGreaterThanOrEqual(891_000);
    for (const message of ['B0 42 7F', 'B0 00 05', 'B0 43 7F'])
      expect(earliest(message), message).toBeLessThan(880_000);
  });

  test('bank numbers may move on a sounding channel: nothing hears them before the program change', () => {
    const columns = columnsOf([0, '90 3C 40'], [100_000, 'B0 00 01', 'B0 20 02', 'C0 05', '90 40 40']);
    const lines = linesOf(pack(columns));
    expect(lines.slice(1)).toEqual(['96160 B0 00 01', '97120 B0 20 02', '100000 C0 05', '100000 90 40 40']);
  });

  test('a note-off comes early only for its own key’s next strike, and stays behind its middle', () => {
    const columns = columnsOf(
      [0, '90 3C 40', '90 40 40'],
      [100_000, '80 40 40', '80 3C 40', '90 3C 40', '90 43 40'],
    );
    const plan = pack(columns);
    expect(messagesOf(plan).slice(2)).toEqual(['80 3C 40', '90 3C 40', '90 43 40', '80 40 40']);
    expect(plan.releaseMicros[2]).toBe(97_120);
    const short = columnsOf([0, '90 3C 40'], [2000, '80 3C 40', '90 3C 40']);
    expect(pack(short).releaseMicros[1]).toBe(1000);
  });
});

describe('what gives way', () => {
  test('note-offs due with a chord go after it', () => {
    const columns = columnsOf(
      [0, ...NOTES(0, 60, 64)],
      [500_000, '80 3C 40', '80 40 40', ...NOTES(1, 60, 64, 67)],
    );
    expect(messagesOf(pack(columns)).slice(2)).toEqual([...NOTES(1, 60, 67, 64), '80 3C 40', '80 40 40']);
    expect(worst(pack(columns))).toBe((3 + 2 + 2) * 320);
  });

  test('but no longer than their patience, however many notes come', () => {
    // A note each 0.9 ms on changing channels fills the wire for 200 ms.
    const flood = Array.from(
      { length: 220 },
      (_, i) => [1000 + i * 900, NOTES((i % 8) + 1, 60)[0]!] as const,
    );
    const columns = columnsOf([0, '90 3C 40'], [1000, '80 3C 40'], ...flood);
    const plan = pack(columns, { fallBack: false });
    const run = simulatePlan(plan, MIDI_WIRE);
    const off = plan.event.indexOf(1);
    expect(run.endMicros[off]! - 1000).toBeLessThanOrEqual(20_000 + 2 * 960);
    expect(run.endMicros[off]! - 1000).toBeGreaterThan(10_000);
  });

  test('a note-off never passes a pedal', () => {
    const columns = columnsOf(
      [0, '90 3C 40'],
      [500_000, '80 3C 40', 'B0 40 7F', '90 40 40', ...NOTES(1, 60, 64)],
    );
    const messages = messagesOf(pack(columns));
    expect(messages.indexOf('80 3C 40')).toBeLessThan(messages.indexOf('B0 40 7F'));
    expect(messages.indexOf('B0 40 7F')).toBeLessThan(messages.indexOf('90 40 40'));
  });
});

describe('a controller told again may give way to notes', () => {
  const at = (...messages: string[]) => columnsOf([0, 'B0 01 40', '90 30 40'], [500_000, ...messages]);
  const sentAt = (columns: TimelineColumns) => messagesOf(pack(columns)).slice(2);

  test('for it changes nothing', () => {
    expect(sentAt(at('B0 01 40', '90 3C 40'))).toEqual(['90 3C 40', 'B0 01 40']);
    expect(sentAt(at('B0 01 41', '90 3C 40'))).toEqual(['B0 01 41', '90 3C 40']);
  });

  test('but not after a reset or mode message: nobody knows what holds then', () => {
    const messages = ['B0 79 00', 'B0 01 40', '90 3C 40'];
    expect(sentAt(at(...messages))).toEqual(messages);
  });

  test('nor while its fine half is in use, which it sets to 0 (MIDI 1.0, p. 12)', () => {
    const columns = columnsOf([0, 'B0 01 40', 'B0 21 10', '90 30 40'], [500_000, 'B0 01 40', '90 3C 40']);
    expect(messagesOf(pack(columns)).slice(3)).toEqual(['B0 01 40', '90 3C 40']);
  });
});

test('however crowded, no note-off comes earlier than allowed', () => {
  const keys = Array.from({ length: 30 }, (_, i) => 30 + i);
  const columns = columnsOf(
    [0, ...NOTES(0, ...keys)],
    [2_000_000, ...keys.map((key) => `80 ${hex(key)} 40`), ...NOTES(0, ...keys)],
  );
  const plan = pack(columns, { offEarlyMicros: 10_000 });
  expect(plan.releaseMicros[keys.length]).toBe(1_990_000);
});

test('a note-off that a strike needs still waits for the pedal that comes up before it', () => {
  const columns = columnsOf(
    [0, 'B0 40 7F', '90 3C 40'],
    [100_000, 'B0 40 00', ...NOTES(1, 60, 61, 62, 63, 64, 65, 66, 67)],
    [101_000, '80 3C 40'],
    [106_000, '90 3C 40'],
  );
  const messages = messagesOf(pack(columns, { stateEarlyMicros: 0 }));
  expect(messages.slice(-3)).toEqual(['B0 40 00', '80 3C 40', '90 3C 40']);
});

describe('the order in a chord', () => {
  test('drums, bass, the top note’s part, then the others; outer notes before inner ones', () => {
    const columns = columnsOf(
      [0, 'C0 30', 'C1 00', 'C2 20'],
      [1_000_000, ...NOTES(0, 55, 60, 64), ...NOTES(1, 62, 67, 71, 76), ...NOTES(2, 36), ...NOTES(9, 42, 36)],
    );
    const chord = messagesOf(pack(columns)).slice(3);
    expect(chord).toEqual([
      ...NOTES(9, 36, 42), // bass drum before hi-hat
      ...NOTES(2, 36), // bass (program 33)
      ...NOTES(1, 62, 76, 67, 71), // piano: holds the top note
      ...NOTES(0, 55, 64, 60), // strings: a slow rise hides most
    ]);
  });

  test('the part whose status the receiver holds goes first when it is small: it saves a byte for all', () => {
    const columns = columnsOf([0, ...NOTES(0, 60)], [1_000_000, ...NOTES(9, 36), ...NOTES(0, 64)]);
    expect(messagesOf(pack(columns)).slice(1)).toEqual([...NOTES(0, 64), ...NOTES(9, 36)]);
    expect(worst(pack(columns))).toBe((2 + 3) * 320);
  });
});

describe('a chord of which a part waits', () => {
  test('notes that wait for nothing go first, whatever their rank', () => {
    // The bass would lead, but its program has to wait for the note that sounds until then.
    const columns = columnsOf(
      [0, 'C1 20', 'C2 30', 'B1 40 7F', '91 20 40', '92 60 40'],
      [500_000, ...NOTES(15, 70)],
      [1_000_000, 'C1 22', '91 22 40', '92 3C 40'],
    );
    expect(messagesOf(pack(columns)).slice(-3)).toEqual(['92 3C 40', 'C1 22', '91 22 40']);
  });

  test('what is struck or plucked goes before what is bowed, sung or swells (see `ChordOrder`)', () => {
    const sharp = [0, 8, 24, 32, 104, 112];
    const soft = [40, 48, 88, 96, 120];
    for (const first of sharp) {
      for (const last of soft) {
        const columns = columnsOf(
          [0, `C0 ${hex(last)}`, `C1 ${hex(first)}`],
          [1_000_000, ...NOTES(0, 60), ...NOTES(1, 62), ...NOTES(2, 100)],
        );
        const chord = messagesOf(pack(columns)).slice(2);
        expect(chord.indexOf('91 3E 40'), `${first} ${last}`).toBeLessThan(chord.indexOf('90 3C 40'));
      }
    }
  });
});

describe('early notes, when they are allowed', () => {
  test('a chord is centred on its moment', () => {
    // 33 bytes, 10.56 ms: from 960 to 10,560 µs late; centred, 4,800 µs to either side.
    const chord = columnsOf([1_000_000, ...NOTES(0, ...Array.from({ length: 16 }, (_, i) => 48 + i))]);
    const lateness = onsetLatenessOf(simulatePlan(pack(chord, { earlyMicros: 20_000 }), MIDI_WIRE));
    expect(lateness.worstMicros).toBe(4800);
    expect(lateness.earliestMicros).toBe(-4800);
  });

  test('no further than allowed', () => {
    const chord = columnsOf([1_000_000, ...NOTES(0, ...Array.from({ length: 16 }, (_, i) => 48 + i))]);
    const lateness = onsetLatenessOf(simulatePlan(pack(chord, { earlyMicros: 2000 }), MIDI_WIRE));
    expect(lateness.worstMicros).toBe(8560);
    expect(lateness.earliestMicros).toBe(-1040);
  });

  test('chords that meet on the wire are centred together', () => {
    const six = (c: number) => NOTES(c, 60, 61, 62, 63, 64, 65);
    const chords = columnsOf([1_000_000, ...six(0)], [1_003_000, ...six(1)], [1_006_000, ...six(2)]);
    const lateness = onsetLatenessOf(simulatePlan(pack(chords, { earlyMicros: 20_000 }), MIDI_WIRE));
    // 13 bytes each: the last ends 39 bytes after the first began, 12.48 − 6 ms late; the first one 0.96 ms.
    expect(lateness.worstMicros).toBe((6480 + 960) / 2 - 960);
    expect(lateness.distanceMicros).toBeLessThan(6480 / 2);
  });
});

describe('where the order of notes is part of the sound, all order is kept', () => {
  const cases = [
    ['mono mode', 'B0 7E 01'],
    ['portamento', 'B0 41 7F'],
    ['legato', 'B0 44 40'],
    ['portamento control', 'B0 54 3C'],
    ['high-resolution velocity', 'B0 58 20'],
  ] as const;
  const legato = ['80 3C 40', '90 40 40', '90 30 40', '90 43 40'];
  const rest = [0, '90 3C 40'] as const;

  for (const [name, message] of cases) {
    test(name, () => {
      const columns = columnsOf([0, message, '90 3C 40'], [500_000, ...legato]);
      expect(messagesOf(pack(columns)).slice(2)).toEqual(legato);
    });
  }

  test('and its note-offs stay where they are, also for the next strike of their key', () => {
    const strike = (setup: string) =>
      columnsOf([0, setup, '90 3C 40'], [500_000, ...NOTES(1, 50, 52), '80 3C 40', '90 3C 40']);
    const offOf = (setup: string) => linesOf(pack(strike(setup))).find((line) => line.endsWith('80 3C 40'));
    expect(offOf('B0 41 7F')).toBe('500000 80 3C 40');
    expect(offOf('B0 41 00')).not.toBe('500000 80 3C 40');
  });

  test('elsewhere the note-off gives way, and outer notes go first', () => {
    expect(messagesOf(pack(columnsOf([...rest], [500_000, ...legato]))).slice(1)).toEqual([
      '90 30 40',
      '90 43 40',
      '90 40 40',
      '80 3C 40',
    ]);
  });

  test('a switch below 64 is off (MIDI 1.0, p. 12)', () => {
    const columns = columnsOf([0, 'B0 41 3F', '90 3C 40'], [500_000, ...legato]);
    expect(messagesOf(pack(columns)).at(-1)).toBe('80 3C 40');
  });
});

describe('SysEx', () => {
  const RESET = 'F0 7E 7F 09 01 F7';

  test('a reset comes before its settle time, and the settle time before the notes', () => {
    const columns = columnsOf([500_000, RESET, 'C0 05', '90 3C 40']);
    const plan = pack(columns, { settleMicros: 50_000 });
    const run = simulatePlan(plan, MIDI_WIRE, { settleMicros: 50_000 });
    expect(messagesOf(plan)).toEqual(['F0', 'C0 05', '90 3C 40']);
    expect(run.startMicros[1]! - run.endMicros[0]!).toBeGreaterThanOrEqual(50_000);
    expect(onsetLatenessOf(run).worstMicros).toBe(960);
  });

  test('what is no reset needs no such time', () => {
    const columns = columnsOf([500_000, 'F0 7F 7F 04 01 00 40 F7', '90 3C 40']);
    const { releaseMicros } = pack(columns, { settleMicros: 50_000 });
    // Its own 8 bytes, and what is kept free before the note, 1.92 ms at most.
    expect(releaseMicros[0]).toBeGreaterThanOrEqual(500_000 - 8 * 320 - 1920);
  });

  test('nothing passes it', () => {
    const columns = columnsOf(
      [0, '90 3C 40'],
      [100_000, '80 3C 40', RESET, 'B0 07 40', '90 3C 40', '91 40 40'],
    );
    expect(messagesOf(pack(columns))).toEqual([
      '90 3C 40',
      '80 3C 40',
      'F0',
      'B0 07 40',
      '91 40 40',
      '90 3C 40',
    ]);
  });

  test('a maker’s own takes no wire while it is held back', () => {
    const dump = `F0 7D ${'00 '.repeat(300)}F7`;
    const columns = columnsOf([100_000, dump, '90 3C 40']);
    expect(worst(fileOrderPlan(columns))).toBe(960);
    const sent = simulatePlan(fileOrderPlan(columns), MIDI_WIRE, { allowSysEx: true });
    expect(onsetLatenessOf(sent).worstMicros).toBe((303 + 3) * 320);
    const early = pack(columns, { allowSysEx: true });
    expect(onsetLatenessOf(simulatePlan(early, MIDI_WIRE, { allowSysEx: true })).worstMicros).toBe(960);
  });
});

describe('setup first', () => {
  /** What is sent of a moment in which the part has played before, and of its first. */
  const later = (...messages: string[]) =>
    messagesOf(pack(columnsOf([0, 'C9 00', '99 24 40', '89 24 40'], [500_000, ...messages]))).slice(3);
  const first = (...messages: string[]) => messagesOf(pack(columnsOf([0, ...messages])));

  test('what the file sets between two notes goes before both', () => {
    const sent = ['B9 5B 28', 'B9 07 64', '99 24 40', '99 26 40'];
    expect(later('99 24 40', 'B9 5B 28', 'B9 07 64', '99 26 40')).toEqual(sent);
    expect(first('99 24 40', 'B9 5B 28', 'B9 07 64', '99 26 40')).toEqual(sent);
  });

  test('what it sets behind them stays there', () => {
    const messages = ['99 24 40', '99 26 40', 'B9 5B 28', 'B9 07 64'];
    expect(later(...messages)).toEqual(messages);
    expect(first(...messages)).toEqual(messages);
  });

  test('not what a note reads as it begins, nor what lies behind it', () => {
    for (const read of ['C9 05', 'B9 00 01', 'B9 43 7F', 'B9 42 7F', 'B9 49 20', 'B9 06 02', 'A9 24 20']) {
      const messages = ['99 24 40', read, 'B9 07 64', '99 26 40'];
      expect(later(...messages)).toEqual(messages);
    }
  });

  test('but in the moment in which a part begins, that too: its notes are meant for what they are given there', () => {
    for (const read of ['C9 05', 'B9 00 01', 'B9 43 7F', 'B9 42 7F', 'B9 49 20', 'B9 79 00', 'B9 7B 00']) {
      expect(first('99 24 40', read, '99 26 40')).toEqual([read, '99 24 40', '99 26 40']);
    }
  });

  test('a part has begun with its first note, also where this stood alone', () => {
    const columns = columnsOf(
      [0, '99 24 40'],
      [1000, '89 24 40'],
      [500_000, '99 24 40', 'C9 05', '99 26 40'],
    );
    expect(messagesOf(pack(columns)).slice(2)).toEqual(['99 24 40', 'C9 05', '99 26 40']);
  });

  test('a reset behind the last note of the first moment stays there, whatever comes later', () => {
    const columns = columnsOf([0, '91 24 40', 'F0 7E 7F 09 01 F7'], [1000, '90 26 40']);
    expect(messagesOf(pack(columns))).toEqual(['91 24 40', 'F0', '90 26 40']);
  });

  test('a second program stays: the first note is meant for the first', () => {
    const messages = ['C0 03', '90 24 40', 'C0 05', 'B0 07 64', '90 26 40'];
    expect(first(...messages)).toEqual(messages);
  });

  test('a reset in the song’s first moment stands before its notes, and nothing passes it', () => {
    const reset = 'F0 7E 7F 09 01 F7';
    const sent = ['C1 03', 'F0', 'B0 07 64', '90 26 40', '91 24 40'];
    expect(first('C1 03', '91 24 40', reset, 'B0 07 64', '90 26 40')).toEqual(sent);
    const kept = ['91 24 40', '81 24 40', reset, 'B0 07 64', '90 26 40'];
    expect(first(...kept)).toEqual(kept.with(2, 'F0'));
    expect(later('91 24 40', reset, '90 26 40')).toEqual(['91 24 40', 'F0', '90 26 40']);
  });

  test('a note-off behind such a reset stays behind it', () => {
    const sent = first('91 24 40', 'F0 7E 7F 09 01 F7', '81 3C 40', '90 26 40');
    expect(sent.indexOf('F0')).toBeLessThan(sent.indexOf('81 3C 40'));
  });

  test('nothing on a channel that glides: there the order is part of the sound', () => {
    const glide = columnsOf([0, 'B0 41 7F', '90 24 40'], [500_000, '90 26 40', 'B0 07 64', '90 28 40']);
    expect(messagesOf(pack(glide)).slice(2)).toEqual(['90 26 40', 'B0 07 64', '90 28 40']);
  });

  test('nor does a reset pass the notes of such a channel: what was said of the very next note is said of it', () => {
    // 84, Portamento Control: from which key the next note glides.
    const behindPrefix = (...messages: string[]) =>
      messagesOf(pack(columnsOf([0, 'B0 54 30'], [500_000, ...messages]))).slice(1);
    const reset = 'F0 7E 7F 09 01 F7';
    expect(behindPrefix('90 26 40', reset, '91 28 40')).toEqual(['90 26 40', 'F0', '91 28 40']);
    expect(behindPrefix('91 26 40', reset, '90 28 40')[0]).toBe('F0');
  });

  test('`--no-setup-first`: all stays between the notes', () => {
    const messages = ['99 24 40', 'B9 5B 28', 'C9 05', 'B9 07 64', '99 26 40'];
    expect(messagesOf(pack(columnsOf([0, ...messages]), { setupFirst: false }))).toEqual(messages);
  });
});

test('a song of nothing has a plan of nothing', () => {
  expect(pack(columnsOf()).count).toBe(0);
});
