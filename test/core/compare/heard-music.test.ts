import { describe, expect, test } from 'vitest';
import { heardFromBytes, heardFromChunks } from '../../../src/core/compare/hear.ts';
import { HeardFold } from '../../../src/core/compare/heard-fold.ts';
import { bytesOfSysEx } from '../../../src/core/compare/heard-music.ts';
import { heardPart } from '../../../src/core/compare/heard-part.ts';
import { Fault } from '../../../src/core/midi/stream-fault.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

const heard = (...chunks: readonly (readonly [micros: number, hex: string])[]) =>
  heardFromChunks(chunks.map(([micros, hex]) => ({ micros, bytes: bytesOf(hex) })));

/** A program, a chord with running status, a SysEx with a clock in it, releases of both kinds. */
const MUSIC = heard(
  [1000, 'C2 05'],
  [2000, '92 3C 40 40 50'],
  [20_000, 'F0 7D 01 F8 02 F7'],
  [30_000, '82 3C 00'],
  [40_000, '92 40 00'],
  [50_000, '82 3C 00'],
);

describe('a recording', () => {
  test('notes: when the first byte of each began, what was struck, when it was let go, what came before it', () => {
    const { on, surplusOffs } = MUSIC;
    expect(on.count).toBe(2);
    // The second has no status byte: it begins with its key, three bytes of 320 µs behind the first.
    expect([...on.micros]).toEqual([2000, 2960]);
    expect([...on.offMicros]).toEqual([30_000, 40_000]);
    expect([...on.channel]).toEqual([2, 2]);
    expect([...on.key]).toEqual([60, 64]);
    expect([...on.velocity]).toEqual([64, 80]);
    expect([...on.message]).toEqual([1, 2]);
    expect([...on.statusBefore]).toEqual([0xc2, 0x92]);
    expect([...surplusOffs]).toEqual([6]);
  });

  test('what is set, SysEx, and how much there was; real-time bytes are no messages', () => {
    const { state, sysEx, messages, bytes, faults, hasTimes, isTorn, beganMicros, lastMicros } = MUSIC;
    expect(state.count).toBe(1);
    expect([state.micros[0], state.status[0], state.data1[0], state.data2[0]]).toEqual([1000, 0xc2, 5, 0]);
    expect(sysEx.count).toBe(1);
    expect(hexOf(bytesOfSysEx(sysEx, 0))).toBe('7D 01 02');
    // It ended with its last byte.
    expect([sysEx.micros[0], sysEx.cut[0], sysEx.message[0]]).toEqual([20_000 + 5 * 320, 0, 3]);
    expect([messages, bytes, faults.count, hasTimes, isTorn]).toEqual([7, 22, 0, true, false]);
    expect([beganMicros, lastMicros]).toEqual([1000, 50_000]);
  });

  test('bursts: where more than six milliseconds passed since a message began', () => {
    expect([...MUSIC.bursts]).toEqual([1000, 30_000, 40_000, 50_000]);
    expect([...MUSIC.burstMessage]).toEqual([0, 4, 5, 6]);
    const apart = (micros: number) => heard([0, '90 3C 40'], [micros, '91 3C 40']).bursts.length;
    expect([apart(6000), apart(6001)]).toEqual([1, 2]);
  });

  test('without times each byte has its place on a wire', () => {
    const { on, hasTimes } = heardFromBytes(bytesOf('C0 01 90 3C 40 3E 41'));
    expect(hasTimes).toBe(false);
    expect([...on.micros]).toEqual([2 * 320, 5 * 320]);
  });

  test('two strikes of a key want two releases, the first of them the first', () => {
    const { on } = heard([0, '90 3C 40'], [10, '90 3C 41'], [20, '80 3C 00'], [30, '80 3C 00']);
    expect([...on.offMicros]).toEqual([20, 30]);
    expect(heard([0, '90 3C 40'], [10, '81 3C 40']).on.offMicros[0]).toBeNaN();
  });

  test.each(['78', '7B', '7C', '7D', '7E', '7F'])('mode %s ends what sounds on its channel', (mode) => {
    const { on, state } = heard([0, '93 00 40'], [1, '93 7F 40'], [2, '94 00 40'], [9000, `B3 ${mode} 00`]);
    expect([...on.offMicros]).toEqual([9000, 9000, Number.NaN]);
    expect(state.count).toBe(1);
  });

  test.each(['77', '79', '7A'])('controller %s does not', (number) => {
    expect(heard([0, '93 00 40'], [9000, `B3 ${number} 00`]).on.offMicros[0]).toBeNaN();
  });

  test('what is broken is told by its kind, with the messages before it', () => {
    const { faults } = heard([0, '90 3C 40'], [1000, 'F7'], [2000, '90 3C 90 3C 40']);
    expect([...faults.kind]).toEqual([Fault.strayEnd, Fault.truncated]);
    expect([...faults.message]).toEqual([1, 1]);
    expect(faults.byKind[Fault.strayEnd]).toBe(1);
    expect(faults.byKind[Fault.truncated]).toBe(1);
    expect(faults.byKind[Fault.strayData]).toBe(0);
  });

  test('a SysEx that another status byte ends is cut', () => {
    const cut = heard([0, 'F0 7D 01 90 3C 40']);
    expect([cut.sysEx.count, cut.sysEx.cut[0], cut.on.count]).toEqual([1, 1, 1]);
  });
});

test('part of a recording that began before, with keys that sound already: their release is no surplus', () => {
  const fold = new HeardFold();
  fold.beganBefore(500);
  fold.soundsAlready((3 << 7) | 60);
  fold.message(0x83, 60, 0, 1000);
  fold.message(0x83, 60, 0, 2000);
  const { beganMicros, lastMicros, surplusOffs, on } = fold.music(true, 6, false);
  expect([beganMicros, lastMicros, [...surplusOffs], on.count]).toEqual([500, 2000, [1], 0]);
  const nothing = new HeardFold().music(true, 0, true);
  expect([nothing.beganMicros, nothing.lastMicros, nothing.isTorn]).toEqual([Number.NaN, Number.NaN, true]);
});

describe('a part of a recording', () => {
  const whole = heard(
    [0, 'C0 01'],
    [10_000, '90 3C 40'],
    [20_000, '80 3C 00'],
    [30_000, 'F0 7D 01 F7'],
    [40_000, '90 3E 40'],
    [50_000, 'F7'],
    [60_000, '80 3E 00 C0 02'],
    [70_000, '90 40 40'],
    [80_000, 'F0 7D 02 F7 F7'],
    [90_000, '80 40 00'],
  );

  test('has its notes and what came with them; what was set before stays set', () => {
    const part = heardPart(whole, 1, 2, 25_000, 65_000);
    expect([part.on.count, part.on.key[0], part.on.offMicros[0]]).toEqual([1, 62, 60_000]);
    expect([part.beganMicros, part.lastMicros]).toEqual([25_000, 60_000]);
    expect([part.state.count, part.sysEx.count, part.faults.count]).toEqual([2, 1, 1]);
    expect(hexOf(bytesOfSysEx(part.sysEx, 0))).toBe('7D 01');
    expect(part.faults.byKind[Fault.strayEnd]).toBe(1);
    expect([...part.bursts]).toEqual([40_000, 60_000]);
    // From its first note to the next part's: a note, its release, a program.
    expect(part.messages).toBe(3);
    expect(part.bytes).toBe(Math.round((whole.bytes * 3) / whole.messages));
  });

  test('the last one has all the rest', () => {
    const part = heardPart(whole, 2, 3, 65_000, Number.POSITIVE_INFINITY);
    expect([part.on.count, part.lastMicros]).toEqual([1, whole.lastMicros]);
    expect([part.sysEx.count, part.faults.count, part.messages]).toEqual([1, 1, 3]);
    expect(hexOf(bytesOfSysEx(part.sysEx, 0))).toBe('7D 02');
    const first = heardPart(whole, 0, 1, 0, 25_000);
    expect([first.messages, first.state.count, first.lastMicros]).toEqual([4, 1, 20_000]);
  });
});
