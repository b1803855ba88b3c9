import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldOnsetLateness, foldPortWire, foldWire } from '../../../src/core/observe/fold-wire.ts';
import { LOAD_SLOT_MICROS, LOAD_SLOTS, Slot } from '../../../src/core/observe/observed-state.ts';
import { foldPortTrouble, PortSlot, PortTrouble } from '../../../src/core/observe/port-state.ts';

/** A state over the MIDI 1.0 wire: 3,125 bytes a second (MIDI 1.0, p. 1). */
function midiWire() {
  const state = createObservedState();
  state.numbers[Slot.bytesPerSecond] = 3125;
  return state;
}

describe('load', () => {
  test('bytes fall into the slot in which they end', () => {
    const state = midiWire();
    // 63 bytes of 320 µs end at 20,160 µs: 62 of them within the first 20 ms.
    foldWire(state, 4, 63, Float64Array.of(0, 63 * 320));
    expect([state.loadBytes[0], state.loadBytes[1], state.bytes[4]]).toEqual([62, 1, 63]);
    expect([state.numbers[Slot.bytesSent], state.numbers[Slot.wireFreeMicros]]).toEqual([63, 20_160]);
  });

  test('a full wire for 100 ms is a peak of 1, half a wire one half', () => {
    const full = midiWire();
    for (let i = 0; i < 320; i += 1) foldWire(full, -1, 1, Float64Array.of(i * 320, (i + 1) * 320));
    expect(full.numbers[Slot.peakLoad]).toBeGreaterThan(0.99);
    expect(full.numbers[Slot.peakLoad]).toBeLessThanOrEqual(1);
    const half = midiWire();
    for (let i = 0; i < 500; i += 1) foldWire(half, -1, 1, Float64Array.of(i * 640, i * 640 + 320));
    expect(half.numbers[Slot.peakLoad]).toBeCloseTo(0.5, 1);
  });

  test('of a wire of ten bytes a second one byte fills 100 ms; of one that carries nothing there is no load', () => {
    const peak = (bytesPerSecond: number) => {
      const state = createObservedState();
      state.numbers[Slot.bytesPerSecond] = bytesPerSecond;
      foldWire(state, 0, 1, Float64Array.of(0, 100_000));
      return state.numbers[Slot.peakLoad];
    };
    expect([peak(10), peak(20), peak(0)]).toEqual([1, 0.5, 0]);
  });

  test('slots that were passed in silence are empty', () => {
    const state = midiWire();
    const round = LOAD_SLOTS * LOAD_SLOT_MICROS;
    foldWire(state, 0, 3, Float64Array.of(0, 960));
    foldWire(state, 0, 3, Float64Array.of(round + LOAD_SLOT_MICROS, round + LOAD_SLOT_MICROS + 960));
    expect([state.loadBytes[0], state.loadBytes[1]]).toEqual([0, 3]);
    foldWire(state, 0, 3, Float64Array.of(9 * round, 9 * round + 960));
    expect([...state.loadBytes].reduce((sum, bytes) => sum + bytes)).toBe(3);
  });
});

test('the worst onset is kept with its place in the song', () => {
  const state = midiWire();
  const port = state.ports[0]!;
  foldOnsetLateness(state, port, Float64Array.of(1000, 500, 1000), Float64Array.of(1000, 3000, 0));
  foldOnsetLateness(state, port, Float64Array.of(9000, 8500, 9000), Float64Array.of(9000, 9960, 0));
  expect(state.numbers[Slot.worstOnsetLatenessMicros]).toBe(2000);
  expect(state.numbers[Slot.worstOnsetSongMicros]).toBe(500);
});

test('what was put before a note that is not the song’s does not count as its lateness', () => {
  const state = midiWire();
  foldOnsetLateness(
    state,
    state.ports[0]!,
    Float64Array.of(1000, 500, 1000),
    Float64Array.of(1000, 3000, 1500),
  );
  expect(state.numbers[Slot.worstOnsetLatenessMicros]).toBe(500);
});

describe('each output by itself', () => {
  test('of two wires one may be behind the other: its bytes fall into their own slot, and no slot is lost', () => {
    const state = midiWire();
    foldWire(state, 0, 3, Float64Array.of(5 * LOAD_SLOT_MICROS, 5 * LOAD_SLOT_MICROS + 960));
    foldWire(state, 1, 3, Float64Array.of(3 * LOAD_SLOT_MICROS, 3 * LOAD_SLOT_MICROS + 960));
    foldWire(state, 0, 3, Float64Array.of(6 * LOAD_SLOT_MICROS, 6 * LOAD_SLOT_MICROS + 960));
    expect([...state.loadBytes.subarray(0, 8)]).toEqual([0, 0, 0, 3, 0, 3, 3, 0]);
    expect(state.numbers[Slot.loadSlot]).toBe(6);
  });

  test('two wires: each has its own ring, peak and end, and leaves the other alone', () => {
    const state = midiWire();
    const [full, idle] = state.ports as [(typeof state.ports)[0], (typeof state.ports)[0]];
    for (const port of [full, idle]) port.numbers[PortSlot.bytesPerSecond] = 3125;
    for (let i = 0; i < 320; i += 1) foldPortWire(full, 1, Float64Array.of(i * 320, (i + 1) * 320, 0));
    foldPortWire(idle, 3, Float64Array.of(0, 960, 0));
    expect(full.numbers[PortSlot.peakLoad]).toBeGreaterThan(0.99);
    expect(idle.numbers[PortSlot.peakLoad]).toBeCloseTo(3 / 312.5, 6);
    expect([full.loadBytes[0], idle.loadBytes[0], idle.loadBytes[1]]).toEqual([62, 3, 0]);
    expect([full.numbers[PortSlot.wireFreeMicros], idle.numbers[PortSlot.wireFreeMicros]]).toEqual([
      102_400, 960,
    ]);
    expect([full.numbers[PortSlot.bytes], idle.numbers[PortSlot.bytes]]).toEqual([320, 3]);
  });

  test('the worst onset of one is the worst of all only if it is', () => {
    const state = midiWire();
    foldOnsetLateness(state, state.ports[0]!, Float64Array.of(0, 0, 0), Float64Array.of(0, 4000, 0));
    foldOnsetLateness(state, state.ports[1]!, Float64Array.of(0, 70, 0), Float64Array.of(0, 1000, 0));
    const worst = state.ports.slice(0, 3).map(({ numbers }) => numbers[PortSlot.worstOnsetLatenessMicros]);
    expect(worst).toEqual([4000, 1000, 0]);
    expect(state.ports[1]!.numbers[PortSlot.worstOnsetSongMicros]).toBe(70);
    expect(state.numbers[Slot.worstOnsetLatenessMicros]).toBe(4000);
  });

  test('a trouble is noted with the moment it began, and losses are counted', () => {
    const port = midiWire().ports[3]!;
    const at = (micros: number) => Float64Array.of(micros);
    for (const [trouble, micros] of [
      [PortTrouble.heldUp, 10],
      [PortTrouble.heldUp, 20],
      [PortTrouble.lost, 30],
      [PortTrouble.none, 40],
      [PortTrouble.lost, 50],
      [PortTrouble.lost, 60],
    ] as const) {
      foldPortTrouble(port, trouble, at(micros));
      if (micros === 20) expect(port.numbers[PortSlot.troubleSinceMicros]).toBe(10);
    }
    expect(port.numbers[PortSlot.troubleSinceMicros]).toBe(50);
    expect(port.numbers[PortSlot.losses]).toBe(2);
  });
});
