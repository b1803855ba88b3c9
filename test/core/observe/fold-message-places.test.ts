import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { NEVER_SEEN, type ObservedState, Slot } from '../../../src/core/observe/observed-state.ts';
import { hex } from '../../support/hex.ts';

/** What each message touches, and that it touches nothing else: every table is compared before and after. */
function changesBy(observed: ObservedState, message: string, at = Float64Array.of(7000, 9000, 0)): string[] {
  const tables = Object.entries(observed).filter(([, table]) => ArrayBuffer.isView(table)) as [
    string,
    Uint8Array,
  ][];
  const before = tables.map(([, table]) => table.slice());
  const [status, data1 = 0, data2 = 0] = hex(message);
  foldMessage(observed, status!, data1, data2, at);
  return tables.flatMap(([name, table], i) => {
    const old = before[i]!;
    if (ALWAYS.has(name)) return [];
    return [...table].flatMap((value, place) =>
      Object.is(value, old[place]) ? [] : [`${name}[${place}] ${old[place]}→${value}`],
    );
  });
}

/** Every message writes these; the tests of counting have them. */
const ALWAYS = new Set(['numbers', 'messages', 'lastActivityMicros', 'recent', 'recentMicros']);

function seenAfter(...messages: string[]): ObservedState {
  const observed = createObservedState();
  const at = Float64Array.of(1000, 2000, 0);
  for (const message of messages) {
    const [status, data1 = 0, data2 = 0] = hex(message);
    foldMessage(observed, status!, data1, data2, at);
  }
  return observed;
}

describe('each message writes its own places and no others (MIDI 1.0, Tables I–III)', () => {
  test.each([
    ['95 3C 40', [700, 5]],
    ['9F 7F 7F', [2047, 15]],
    ['90 00 01', [0, 0]],
  ] as const)('note-on %s', (message, [cell, channel]) => {
    const velocity = hex(message)[2]!;
    expect(changesBy(seenAfter(), message).sort()).toEqual(
      [
        `velocity[${cell}] 0→${velocity}`,
        `strikes[${cell}] 0→1`,
        `onsetMicros[${cell}] 0→7000`,
        `onsetSongMicros[${cell}] ${seenAfter().onsetSongMicros[cell]}→9000`,
        `sounding[${channel}] 0→1`,
        `noteOns[${channel}] 0→1`,
      ].sort(),
    );
  });

  test('note-off of the last strike', () => {
    expect(changesBy(seenAfter('95 3C 40'), '85 3C 40')).toEqual([
      'velocity[700] 64→0',
      'strikes[700] 1→0',
      'sounding[5] 1→0',
    ]);
  });

  test('a note-off without a strike', () => {
    expect(changesBy(seenAfter('95 3C 40'), '86 3C 40')).toEqual([]);
  });

  test('pressures, bend, controller, program', () => {
    expect(changesBy(seenAfter(), 'A5 3C 40')).toEqual([]);
    expect(changesBy(seenAfter(), 'D5 21')).toEqual(['pressure[5] 0→33']);
    expect(changesBy(seenAfter(), 'E5 01 41')).toEqual(['bend[5] 8192→8321']);
    expect(changesBy(seenAfter(), 'B5 07 64')).toEqual(['controller[647] 255→100']);
    expect(changesBy(seenAfter('B5 00 02', 'B5 20 03'), 'C5 29').sort()).toEqual(
      [
        'program[5] 255→41',
        'bankMsb[5] 255→2',
        'bankLsb[5] 255→3',
        'programChangedMicros[5] -1→7000',
        'programsUsed[21] 0→512', // 41 = 32 + 9: the second word of channel 6
      ].sort(),
    );
  });

  test('a system message touches no channel', () => {
    for (const message of ['F0 05 06', 'F2 05 06', 'F8', 'FE']) {
      const observed = seenAfter();
      expect(changesBy(observed, message)).toEqual([]);
      expect([Math.max(...observed.messages), Math.max(...observed.lastActivityMicros)]).toEqual([0, -1]);
    }
  });
});

describe('a new MSB and its LSB (p. 12)', () => {
  test.each([
    ['B5 01 40', 'B5 21 07', ['controller[641] 255→64', 'controller[673] 7→0']],
    ['B5 1F 40', 'B5 3F 07', ['controller[671] 255→64', 'controller[703] 7→0']],
    // 32 is the LSB of bank select, whose halves are kept apart; 64 is a pedal, not the LSB of 32.
    ['B5 00 40', 'B5 20 07', ['controller[640] 255→64']],
    ['B5 20 40', 'B5 40 07', ['controller[672] 255→64']],
    ['B5 01 40', 'B5 07 07', ['controller[641] 255→64']],
  ])('%s after %s', (message, before, changes) => {
    expect(changesBy(seenAfter(before), message)).toEqual(changes);
  });
});

describe('pedal and note-offs (p. 20–25, A-5)', () => {
  const HELD = ['B5 40 7F', '95 3C 40', '85 3C 40', '94 7F 40', '96 00 40'];

  test('the pedal holds what is released under it, until it goes up', () => {
    const observed = seenAfter(...HELD);
    expect(observed.pedalHeld[700]).toBe(1);
    expect(changesBy(observed, 'B5 40 00')).toEqual(['pedalHeld[700] 1→0', 'controller[704] 127→0']);
  });

  test('half way down it still holds (switches: 64 and above are on)', () => {
    expect(changesBy(seenAfter(...HELD), 'B5 40 40')).toEqual(['controller[704] 127→64']);
    expect(changesBy(seenAfter(...HELD), 'B5 40 3F')).toContain('pedalHeld[700] 1→0');
  });

  test.each(['7B', '7C', '7D', '7E', '7F'])(
    'CC %s releases the channel’s notes, which the pedal holds on',
    (cc) => {
      const observed = seenAfter(...HELD, '95 00 11', '95 7F 12', '95 7F 13');
      const place = 5 * 128 + Number.parseInt(cc, 16);
      expect(changesBy(observed, `B5 ${cc} 00`).sort()).toEqual(
        [
          'velocity[640] 17→0',
          'velocity[767] 19→0',
          'strikes[640] 1→0',
          'strikes[767] 2→0',
          'pedalHeld[640] 0→1',
          'pedalHeld[767] 0→1',
          'sounding[5] 2→0',
          `controller[${place}] 255→0`,
        ].sort(),
      );
    },
  );

  test('without a pedal they are gone', () => {
    expect(changesBy(seenAfter('95 3C 40', '94 3C 40'), 'B5 7B 00').sort()).toEqual(
      ['velocity[700] 64→0', 'strikes[700] 1→0', 'sounding[5] 1→0', 'controller[763] 255→0'].sort(),
    );
  });

  test('All Sound Off cuts what the pedal holds too; CC 119 and 122 end nothing', () => {
    expect(changesBy(seenAfter(...HELD, '95 30 11'), 'B5 78 00').sort()).toEqual(
      [
        'velocity[688] 17→0',
        'strikes[688] 1→0',
        'sounding[5] 1→0',
        'pedalHeld[700] 1→0',
        'controller[760] 255→0',
      ].sort(),
    );
    expect(changesBy(seenAfter(...HELD), 'B5 77 00')).toEqual(['controller[759] 255→0']);
    expect(changesBy(seenAfter(...HELD), 'B5 7A 00')).toEqual(['controller[762] 255→0']);
  });

  test('a key struck again is no longer held by the pedal', () => {
    expect(changesBy(seenAfter(...HELD), '95 3C 22')).toContain('pedalHeld[700] 1→0');
  });

  test('255 strikes are counted, and no more: the count does not begin anew', () => {
    const observed = seenAfter(...Array.from({ length: 255 }, () => '95 3C 40'));
    expect(observed.strikes[700]).toBe(255);
    expect(changesBy(observed, '95 3C 41').sort()).toEqual(
      [
        'velocity[700] 64→65',
        'onsetMicros[700] 1000→7000',
        'onsetSongMicros[700] 2000→9000',
        'noteOns[5] 255→256',
      ].sort(),
    );
  });
});

describe('CC 121 and System Reset', () => {
  test('121 (RP-015): bend, pressure and pedals of the channel; no parameter is selected any more', () => {
    const observed = seenAfter('E5 00 10', 'D5 20', 'E6 00 10', 'B5 40 7F', '95 3C 40', '85 3C 40');
    const changes = changesBy(observed, 'B5 79 00');
    expect(changes).toEqual(
      expect.arrayContaining(['bend[5] 2048→8192', 'pressure[5] 32→0', 'pedalHeld[700] 1→0']),
    );
    for (const cc of [98, 99, 100, 101]) expect(observed.controller[640 + cc]).toBe(127);
    expect(observed.controller[640 + 1]).toBe(0);
    expect(observed.controller[640 + 11]).toBe(127);
    expect(observed.bend[6]).toBe(2048);
  });

  test('FF: every channel, the last one too, is as at the beginning', () => {
    const observed = seenAfter(
      ...[0, 15].flatMap((channel) => {
        const n = channel.toString(16);
        return [
          `B${n} 40 7F`,
          `9${n} 3C 40`,
          `9${n} 3D 40`,
          `8${n} 3D 40`,
          `C${n} 05`,
          `D${n} 20`,
          `E${n} 00 10`,
        ];
      }),
    );
    changesBy(observed, 'FF');
    const fresh = createObservedState();
    for (const table of [
      'velocity',
      'strikes',
      'pedalHeld',
      'sounding',
      'controller',
      'program',
      'bankMsb',
    ] as const) {
      expect([...observed[table]], table).toEqual([...fresh[table]]);
    }
    for (const table of ['bankLsb', 'bend', 'pressure'] as const) {
      expect([...observed[table]], table).toEqual([...fresh[table]]);
    }
    expect(observed.controller[0]).toBe(NEVER_SEEN);
  });
});

describe('counting', () => {
  test('each message counts once, and on its channel', () => {
    const observed = seenAfter('95 3C 40', 'F8', 'FE', 'B6 07 01');
    expect(observed.numbers[Slot.messagesSent]).toBe(4);
    expect(observed.numbers[Slot.revision]).toBe(4);
    expect(observed.numbers[Slot.noteOnsSent]).toBe(1);
    expect(observed.numbers[Slot.recentNext]).toBe(2);
    expect([...observed.messages]).toEqual([0, 0, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    expect(observed.recent[0]).toBe(0x953c40);
    expect(observed.recentMicros[1]).toBe(1000);
    expect(observed.lastActivityMicros[5]).toBe(1000);
    expect(observed.lastActivityMicros[4]).toBe(-1);
  });
});
