import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { ON_WIRE_LENGTH, OnWire } from '../../../src/core/observe/fold-wire.ts';
import { createListenState, Heard, SENSING } from '../../../src/core/observe/listen-state.ts';
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
    for (const [n, [start]] of spans.entries()) {
      if (n > 0) expect(start).toBeGreaterThanOrEqual(spans[n - 1]![1]);
    }
    expect(spans.at(-1)![1]).toBeLessThanOrEqual(state.buffer.byteLength);
  });

  test('a song position that was seen is not forgotten by another view', () => {
    const state = createListenState();
    expect(state.numbers[Heard.songPosition]).toBe(-1);
    state.numbers[Heard.bytes] = 3;
    state.numbers[Heard.songPosition] = 16;
    expect(createListenState(state.buffer).numbers[Heard.songPosition]).toBe(16);
  });
});
