import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { NEVER_SEEN, RECENT_COUNT, Slot } from '../../../src/core/observe/observed-state.ts';
import { hex } from '../../support/hex.ts';
import { WireReader } from '../../support/wire-reader.ts';

/** Folds messages written in hex, each at its own millisecond. */
function seen(...messages: string[]) {
  const state = createObservedState();
  const at = Float64Array.of(0, 0, 0);
  for (const [i, text] of messages.entries()) {
    at.fill(i * 1000);
    const [status, data1 = 0, data2 = 0] = hex(text);
    foldMessage(state, status!, data1, data2, at);
  }
  return state;
}

describe('layout', () => {
  test('another view of the same buffer shows the same values', () => {
    const state = createObservedState();
    const view = createObservedState(state.buffer);
    state.velocity[2047] = 99;
    state.loadBytes[511] = 7;
    state.ports[15]!.loadBytes[511] = 8;
    state.numbers[Slot.revision] = 3;
    expect([view.velocity[2047], view.loadBytes[511], view.numbers[Slot.revision]]).toEqual([99, 7, 3]);
    expect(view.ports[15]!.loadBytes[511]).toBe(8);
    expect(view.program[0]).toBe(NEVER_SEEN);
  });

  test('a foreign buffer is refused', () => {
    expect(() => createObservedState(new SharedArrayBuffer(8))).toThrow(RangeError);
  });
});

describe('notes (MIDI 1.0, Table I and p. A-4)', () => {
  test('a note sounds from its note-on to its note-off', () => {
    const state = seen('93 3C 40');
    const cell = 3 * 128 + 60;
    expect([state.strikes[cell], state.velocity[cell], state.sounding[3]]).toEqual([1, 64, 1]);
    foldMessage(state, 0x83, 60, 64, new Float64Array(3));
    expect([state.strikes[cell], state.velocity[cell], state.sounding[3]]).toEqual([0, 0, 0]);
  });

  test('velocity 0 is a note-off', () => {
    expect(seen('90 3C 40', '90 3C 00').sounding[0]).toBe(0);
  });

  test('two note-ons on one key need two note-offs, and a surplus one does nothing', () => {
    const state = seen('90 3C 40', '90 3C 50', '80 3C 40');
    expect([state.strikes[60], state.velocity[60], state.sounding[0]]).toEqual([1, 0x50, 1]);
    foldMessage(state, 0x80, 60, 0, new Float64Array(3));
    foldMessage(state, 0x80, 60, 0, new Float64Array(3));
    expect([state.strikes[60], state.sounding[0], state.noteOns[0]]).toEqual([0, 0, 2]);
  });

  test.each([120, 123, 124, 125, 126, 127])('CC%i ends every note of its channel (p. 20–25)', (mode) => {
    const state = seen('90 3C 40', '90 40 40', '91 3C 40', `B0 ${mode.toString(16)} 00`);
    expect([state.sounding[0], state.sounding[1], state.strikes[60]]).toEqual([0, 1, 0]);
  });

  test('System Reset ends all and forgets', () => {
    const state = seen('90 3C 40', 'C0 05', 'B0 07 20', 'FF');
    expect([state.sounding[0], state.program[0], state.controller[7]]).toEqual([0, NEVER_SEEN, NEVER_SEEN]);
  });
});

describe('state of a channel', () => {
  test('the bank takes effect at the program change (p. 13)', () => {
    const state = seen('B0 00 79', 'B0 20 01', 'C0 05', 'B0 00 00');
    expect([state.bankMsb[0], state.bankLsb[0], state.program[0], state.controller[0]]).toEqual([
      0x79, 1, 5, 0,
    ]);
    expect(state.programsUsed[0]).toBe(1 << 5);
  });

  test('a program change is marked with its time', () => {
    const state = seen('90 3C 40', 'C0 05');
    expect([state.programChangedMicros[0], state.lastActivityMicros[0]]).toEqual([1000, 1000]);
  });

  test('pitch bend: low byte first, centre 00 40 (Table I)', () => {
    expect(seen('E0 00 40').bend[0]).toBe(8192);
    expect(seen('E0 7F 7F').bend[0]).toBe(16383);
    expect(seen('E0 01 00').bend[0]).toBe(1);
  });

  test('a new MSB sets an LSB that was seen to 0 (p. 12)', () => {
    expect(seen('B0 27 05', 'B0 07 64').controller[0x27]).toBe(0);
    expect(seen('B0 07 64').controller[0x27]).toBe(NEVER_SEEN);
  });

  test('CC121 brings to rest what RP-015 lists, and nothing else', () => {
    const state = seen(
      'B0 07 50',
      'B0 01 10',
      'B0 0B 20',
      'B0 40 7F',
      'E0 00 00',
      'D0 33',
      'B0 5B 09',
      'B0 79 00',
    );
    expect([state.controller[1], state.controller[11], state.controller[64]]).toEqual([0, 127, 0]);
    expect([state.bend[0], state.pressure[0]]).toEqual([8192, 0]);
    expect([state.controller[7], state.controller[91], state.program[0]]).toEqual([0x50, 9, NEVER_SEEN]);
  });
});

describe('counting', () => {
  test('the ring keeps the latest messages; clock and sensing do not push them out', () => {
    const state = seen('90 3C 40', ...Array.from({ length: RECENT_COUNT }, () => 'F8'), 'FE');
    expect(state.recent[0]).toBe(0x903c40);
    expect(state.numbers[Slot.recentNext]).toBe(1);
    expect(state.numbers[Slot.messagesSent]).toBe(RECENT_COUNT + 2);
  });

  test('after any messages the sounding keys are those a receiver would have', () => {
    const message = fc.oneof(
      fc.tuple(
        fc.constantFrom(0x90, 0x80, 0x91),
        fc.integer({ min: 60, max: 63 }),
        fc.integer({ min: 0, max: 2 }),
      ),
      fc.tuple(fc.constant(0xb0), fc.constantFrom(7, 64), fc.integer({ min: 0, max: 127 })),
    );
    fc.assert(
      fc.property(fc.array(message, { maxLength: 60 }), (messages) => {
        const state = createObservedState();
        const reader = new WireReader();
        const at = new Float64Array(3);
        for (const [status, data1, data2] of messages) {
          foldMessage(state, status, data1, data2, at);
          reader.read([status, data1, data2]);
        }
        const strikes = new Map([...state.strikes.entries()].filter(([, count]) => count > 0));
        const lit = [...state.velocity].flatMap((velocity, cell) => (velocity > 0 ? [cell] : []));
        expect(strikes).toEqual(new Map([...reader.open].sort(([a], [b]) => a - b)));
        expect(lit).toEqual([...strikes.keys()]);
        expect(state.sounding[0]! + state.sounding[1]!).toBe(reader.open.size);
      }),
    );
  });
});
