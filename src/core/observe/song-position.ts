import { type ObservedState, Slot, TRANSPORT_STATES, type TransportState } from './observed-state.ts';

/** The transport's state by name. */
export function transportState(observed: ObservedState): TransportState {
  return TRANSPORT_STATES[observed.numbers[Slot.transport]!] ?? 'stopped';
}

/**
 * Song position in microseconds at a run time: while the song plays, the last position written plus what has
 * passed since at the tempo scale in force; otherwise the position as it stands. Wraps inside a loop.
 */
export function songPosition(observed: ObservedState, nowMicros: number): number {
  const { numbers } = observed;
  const position = numbers[Slot.positionMicros]!;
  if (transportState(observed) !== 'playing') return position;
  const passed = Math.max(0, nowMicros - numbers[Slot.positionAtMicros]!);
  const moved = position + passed * (numbers[Slot.tempoScale] || 1);
  const from = numbers[Slot.loopFromMicros]!;
  const to = numbers[Slot.loopToMicros]!;
  if (to > from && position < to && moved >= to) return from + ((moved - from) % (to - from));
  return moved;
}

/** Song time (µs) until a count-in is over and the music begins; 0 while none is given. */
export function countInMicros(observed: ObservedState, position: number): number {
  if (transportState(observed) !== 'playing') return 0;
  return Math.max(0, observed.numbers[Slot.countedToMicros]! - position);
}
