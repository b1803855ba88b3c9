import { At } from '../schedule/outlet.ts';
import { LOAD_SLOT_MICROS, LOAD_SLOTS, type ObservedState, Slot } from './observed-state.ts';
import { PortSlot, type PortState } from './port-state.ts';

/** Places in the register that says when bytes are on the wire. */
export const OnWire = {
  startMicros: 0,
  endMicros: 1,
  /** How much later that is than without the bytes that are not the song's (a silence, say): 0 for none. */
  commandDelayMicros: 2,
} as const;

export const ON_WIRE_LENGTH = 3;

/** Load slots in the 100 ms window that `peakLoad` is taken over. */
const WINDOW_SLOTS = 100_000 / LOAD_SLOT_MICROS;

/** Where a load ring's own figures lie in the numbers beside it. */
interface RingPlaces {
  readonly bytes: number;
  readonly free: number;
  readonly newest: number;
  readonly rate: number;
  readonly peak: number;
}

const ALL_WIRES: RingPlaces = {
  bytes: Slot.bytesSent,
  free: Slot.wireFreeMicros,
  newest: Slot.loadSlot,
  rate: Slot.bytesPerSecond,
  peak: Slot.peakLoad,
};
const ONE_WIRE: RingPlaces = {
  bytes: PortSlot.bytes,
  free: PortSlot.wireFreeMicros,
  newest: PortSlot.loadSlot,
  rate: PortSlot.bytesPerSecond,
  peak: PortSlot.peakLoad,
};

/**
 * Counts bytes that occupy the wire from `wire[OnWire.startMicros]` to `wire[OnWire.endMicros]` (run time, µs,
 * evenly spread). Calls come in wire order. Allocates nothing.
 * @param channel 0–15, or −1 for system messages
 */
export function foldWire(state: ObservedState, channel: number, bytes: number, wire: Float64Array): void {
  if (channel >= 0) state.bytes[channel]! += bytes;
  fillRing(state.loadBytes, state.numbers, ALL_WIRES, bytes, wire);
  state.numbers[Slot.revision]! += 1;
}

/** The same for the wire of one output alone. */
export function foldPortWire(port: PortState, bytes: number, wire: Float64Array): void {
  fillRing(port.loadBytes, port.numbers, ONE_WIRE, bytes, wire);
}

function fillRing(
  ring: Uint32Array,
  numbers: Float64Array,
  places: RingPlaces,
  bytes: number,
  wire: Float64Array,
): void {
  numbers[places.bytes]! += bytes;
  numbers[places.free] = wire[OnWire.endMicros]!;
  const start = wire[OnWire.startMicros]!;
  const step = (wire[OnWire.endMicros]! - start) / bytes;
  for (let byte = 1; byte <= bytes; byte += 1) {
    // A byte belongs to the slot in which its last bit leaves.
    const slot = Math.ceil((start + step * byte) / LOAD_SLOT_MICROS) - 1;
    if (slot > numbers[places.newest]!) openSlot(ring, numbers, places, slot);
    const row = slot > 0 ? slot % LOAD_SLOTS : 0;
    ring[row]! += 1;
  }
  notePeak(ring, numbers, places);
}

function openSlot(ring: Uint32Array, numbers: Float64Array, places: RingPlaces, slot: number): void {
  const first = Math.max(numbers[places.newest]! + 1, slot - LOAD_SLOTS + 1);
  for (let i = first; i <= slot; i += 1) ring[i % LOAD_SLOTS] = 0;
  numbers[places.newest] = slot;
}

function notePeak(ring: Uint32Array, numbers: Float64Array, places: RingPlaces): void {
  const capacity = numbers[places.rate]! / 10;
  if (!(capacity > 0)) return;
  const newest = numbers[places.newest]!;
  let bytes = 0;
  for (let i = Math.max(0, newest - WINDOW_SLOTS + 1); i <= newest; i += 1) bytes += ring[i % LOAD_SLOTS]!;
  // 312.5 bytes fit 100 ms at 31,250 baud, so a full window may count half a byte too many.
  const load = Math.min(1, bytes / capacity);
  if (load > numbers[places.peak]!) numbers[places.peak] = load;
}

/**
 * Remembers the worst onset of the song's notes, over all and by port: last byte of a note-on
 * (`wire[OnWire.endMicros]`) less its due moment, less what was put before it on the wire that is not the song's.
 */
export function foldOnsetLateness(
  state: ObservedState,
  port: PortState,
  at: Float64Array,
  wire: Float64Array,
): void {
  const lateness = wire[OnWire.endMicros]! - at[At.dueMicros]! - wire[OnWire.commandDelayMicros]!;
  const own = port.numbers;
  if (lateness <= own[PortSlot.worstOnsetLatenessMicros]!) return;
  own[PortSlot.worstOnsetLatenessMicros] = lateness;
  own[PortSlot.worstOnsetSongMicros] = at[At.songMicros]!;
  const { numbers } = state;
  if (lateness <= numbers[Slot.worstOnsetLatenessMicros]!) return;
  numbers[Slot.worstOnsetLatenessMicros] = lateness;
  numbers[Slot.worstOnsetSongMicros] = at[At.songMicros]!;
}
