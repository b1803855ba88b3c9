import { type ObservedState, RECENT_COUNT, Slot } from '../../core/observe/observed-state.ts';

export interface RecentMessage {
  readonly packed: number;
  readonly atMicros: number;
}

/** The latest messages of a channel in the ring, the newest first. */
export function recentOn(observed: ObservedState, channel: number, most: number): RecentMessage[] {
  const next = observed.numbers[Slot.recentNext]!;
  const found: RecentMessage[] = [];
  for (let row = next - 1; row >= 0 && row >= next - RECENT_COUNT && found.length < most; row -= 1) {
    const packed = observed.recent[row % RECENT_COUNT]!;
    const status = packed >>> 16;
    if (status >= 0x80 && status < 0xf0 && (status & 0x0f) === channel) {
      found.push({ packed, atMicros: observed.recentMicros[row % RECENT_COUNT]! });
    }
  }
  return found;
}
