import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { ON_WIRE_LENGTH, OnWire } from '../../../src/core/observe/fold-wire.ts';
import {
  createListenState,
  Heard,
  packetsOf,
  SENSING,
  setPackets,
} from '../../../src/core/observe/listen-state.ts';
import { SLOT_COUNT, Slot } from '../../../src/core/observe/observed-state.ts';
import { PORT_SLOT_COUNT, PortSlot, PortTrouble } from '../../../src/core/observe/port-state.ts';
import { AT_LENGTH, At } from '../../../src/core/schedule/outlet.ts';
import { TIME_COUNT, Time } from '../../../src/core/schedule/scheduler-times.ts';
import { Transport, TransportSlot } from '../../../src/core/schedule/transport-board.ts';

describe('places in shared numbers', () => {
  const tables: readonly [string, Record<string, number>, number][] = [
    ['Slot', Slot, SLOT_COUNT],
    ['TransportSlot', TransportSlot, SLOT_COUNT],
    ['PortSlot', PortSlot, PORT_SLOT_COUNT],
    ['PortTrouble', PortTrouble, 3],
    ['Heard', Heard, createListenState().numbers.length],
    ['SENSING', SENSING, 3],
    ['OnWire', OnWire, ON_WIRE_LENGTH],
    ['At', At, AT_LENGTH],
    ['Time', Time, TIME_COUNT],
    ['Transport', Transport, 4],
  ];
  test.each(tables)('%s: each its own, and none beyond the table', (_name, table, length) => {
    const places = Object.values(table);
    expect(new Set(places).size).toBe(places.length);
    expect(places.every((place) => Number.isInteger(place) && place >= 0 && place < length)).toBe(true);
  });
});

/** [offset, end) of every typed array in a state, also in lists of states. */
function spansOf(state: object): [number, number][] {
  return Object.values(state).flatMap((value): [number, number][] => {
    if (ArrayBuffer.isView(value)) return [[value.byteOffset, value.byteOffset + value.byteLength]];
    return Array.isArray(value) ? value.flatMap(spansOf) : [];
  });
}

describe('tables in one shared buffer', () => {
  test.each([
    ['what is observed', createObservedState()],
    ['what listening knows', createListenState()],
  ])('%s: none lies over another, all are within', (_name, state) => {
    const spans = spansOf(state).sort((a, b) => a[0] - b[0]);
    expect(spans.length).toBeGreaterThan(5);
    for (const [n, [start]] of spans.entries()) expect(start).toBe(n === 0 ? 0 : spans[n - 1]![1]);
    expect(spans.at(-1)![1]).toBe(state.buffer.byteLength);
  });

  test('each is as long as is said of it', () => {
    const byKey = ['velocity', 'strikes', 'pedalHeld', 'onsetMicros', 'onsetSongMicros', 'controller'];
    const rings = ['recent', 'recentMicros', 'loadBytes'];
    const lengthOf = (name: string): number => {
      if (byKey.includes(name)) return 16 * 128;
      if (rings.includes(name)) return 512;
      return { numbers: 64, programsUsed: 16 * 4 }[name] ?? 16;
    };
    const observed = createObservedState();
    const tables = Object.entries(observed).filter(([, table]) => ArrayBuffer.isView(table));
    for (const [name, table] of tables) expect((table as Uint8Array).length, name).toBe(lengthOf(name));
    expect(observed.ports.map(({ numbers, loadBytes }) => [numbers.length, loadBytes.length])).toEqual(
      Array.from({ length: 16 }, () => [16, 512]),
    );
    const { numbers, faultBytes, faultByteCount, faultKind, faultMicros, faultOffset } = createListenState();
    expect(numbers.length).toBe(Object.keys(Heard).length);
    expect(faultBytes.length).toBe(2 * 64);
    for (const ring of [faultByteCount, faultKind, faultMicros, faultOffset]) expect(ring.length).toBe(64);
  });

  test('where nothing was seen: no value, bend in the middle, no time, no place; all else is 0', () => {
    const observed = createObservedState();
    const first: Record<string, number> = {
      ...{ controller: 255, program: 255, bankMsb: 255, bankLsb: 255, bend: 8192, programOverride: -1 },
      ...{ onsetSongMicros: -1, lastActivityMicros: -1, programChangedMicros: -1 },
    };
    for (const [name, table] of Object.entries(observed)) {
      if (!ArrayBuffer.isView(table) || name === 'numbers') continue;
      expect(new Set(table as Uint8Array), name).toEqual(new Set([first[name] ?? 0]));
    }
    const set = (numbers: Float64Array) => [...numbers.entries()].filter(([, value]) => value !== 0);
    expect(new Map(set(observed.numbers))).toEqual(
      new Map([
        [Slot.tempoScale, 1],
        [Slot.drumChannels, 1 << 9], // channel 10 (GM1)
        [Slot.loopFromMicros, -1],
        [Slot.loopToMicros, -1],
        [Slot.worstOnsetSongMicros, -1],
      ]),
    );
    for (const { numbers } of observed.ports)
      expect(set(numbers)).toEqual([[PortSlot.worstOnsetSongMicros, -1]]);
  });

  test('another view leaves what was seen as it is', () => {
    const observed = createObservedState();
    observed.program[3] = 5;
    observed.numbers[Slot.loopToMicros] = 700;
    const view = createObservedState(observed.buffer);
    expect([view.program[3], view.numbers[Slot.loopToMicros]]).toEqual([5, 700]);
  });

  test('what became of packets is told again as it was told; without packets nothing is', () => {
    const state = createListenState();
    expect(packetsOf(state)).toBeUndefined();
    const counts = {
      ...{ heard: 11, lost: 12, recovered: 13, reordered: 14, late: 15, foreign: 16 },
      ...{ unreadable: 17, mended: 18 },
    };
    setPackets(state, counts);
    expect(packetsOf(createListenState(state.buffer))).toEqual(counts);
  });

  test('a song position that was seen is not forgotten by another view', () => {
    const state = createListenState();
    expect(state.numbers[Heard.songPosition]).toBe(-1);
    state.numbers[Heard.bytes] = 3;
    state.numbers[Heard.songPosition] = 16;
    expect(createListenState(state.buffer).numbers[Heard.songPosition]).toBe(16);
  });
});
