import { At } from '../schedule/outlet.ts';
import { LOAD_SLOT_MICROS, LOAD_SLOTS, type ObservedState, Slot } from './observed-state.ts';

/** Places in the register that says when bytes are on the wire. */
export const OnWire = { startMicros: 0, endMicros: 1 } as const;

/** Load slots in the 100 ms window that `peakLoad` is taken over. */
const WINDOW_SLOTS = 100_000 / LOAD_SLOT_MICROS;

/**
 * Counts bytes that occupy the wire from `wire[OnWire.startMicros]` to `wire[OnWire.endMicros]` (run time, µs,
 * evenly spread). Calls come in wire order. Allocates nothing.
 * @param channel 0–15, or −1 for system messages
 */
export function foldWire(state: ObservedState, channel: number, bytes: number, wire: Float64Array): void {
  const { numbers } = state;
  if (channel >= 0) state.bytes[channel]! += bytes;
  numbers[Slot.bytesSent]! += bytes;
  numbers[Slot.wireFreeMicros] = wire[OnWire.endMicros]!;
  const start = wire[OnWire.startMicros]!;
  const step = (wire[OnWire.endMicros]! - start) / bytes;
  for (let byte = 1; byte <= bytes; byte += 1) {
    // A byte belongs to the slot in which its last bit leaves.
    const slot = Math.ceil((start + step * byte) / LOAD_SLOT_MICROS) - 1;
    if (slot > numbers[Slot.loadSlot]!) openSlot(state, slot);
    const row = slot > 0 ? slot % LOAD_SLOTS : 0;
    state.loadBytes[row]! += 1;
  }
  notePeak(state);
  numbers[Slot.revision]! += 1;
}

function openSlot(state: ObservedState, slot: number): void {
  const last = state.numbers[Slot.loadSlot]!;
  const first = Math.max(last + 1, slot - LOAD_SLOTS + 1);
  for (let i = first; i <= slot; i += 1) state.loadBytes[i % LOAD_SLOTS] = 0;
  state.numbers[Slot.loadSlot] = slot;
}

function notePeak(state: ObservedState): void {
  const { numbers, loadBytes } = state;
  const capacity = numbers[Slot.bytesPerSecond]! / 10;
  if (!(capacity > 0)) return;
  const newest = numbers[Slot.loadSlot]!;
  let bytes = 0;
  for (let i = Math.max(0, newest - WINDOW_SLOTS + 1); i <= newest; i += 1)
    bytes += loadBytes[i % LOAD_SLOTS]!;
  // 312.5 bytes fit 100 ms at 31,250 baud, so a full window may count half a byte too many.
  const load = Math.min(1, bytes / capacity);
  if (load > numbers[Slot.peakLoad]!) numbers[Slot.peakLoad] = load;
}

/** Remembers the worst onset: last byte of a note-on (`wire[OnWire.endMicros]`) less its due moment. */
export function foldOnsetLateness(state: ObservedState, at: Float64Array, wire: Float64Array): void {
  const { numbers } = state;
  const lateness = wire[OnWire.endMicros]! - at[At.dueMicros]!;
  if (lateness <= numbers[Slot.worstOnsetLatenessMicros]!) return;
  numbers[Slot.worstOnsetLatenessMicros] = lateness;
  numbers[Slot.worstOnsetSongMicros] = at[At.songMicros]!;
}
