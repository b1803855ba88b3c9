import { DATA_BYTES } from '../midi/status.ts';
import type { TrackCursor } from './track-cursor.ts';

/**
 * Finds where events begin again after bytes that make no sense: the first status byte after `from` that has
 * the data bytes it needs and a delta time before it.
 * @returns offset of that delta time, or the track's limit
 */
export function resync(cursor: TrackCursor, from: number): number {
  const { bytes, limit } = cursor;
  for (let at = from + 1; at < limit; at += 1) {
    if (bytes[at]! < 0x80 || bytes[at - 1]! >= 0x80 || !isEventAt(cursor, at)) continue;
    let deltaAt = at - 1;
    while (deltaAt > from && at - deltaAt < 4 && bytes[deltaAt - 1]! >= 0x80) deltaAt -= 1;
    return deltaAt;
  }
  return limit;
}

/** True where a track may go on: a delta time and an event that begins with its status, or the track's limit. */
export function goesOnAt(cursor: TrackCursor, from: number): boolean {
  const { bytes, limit } = cursor;
  if (from === limit) return true;
  let at = from;
  while (at < limit && at < from + 3 && bytes[at]! >= 0x80) at += 1;
  return at + 1 < limit && bytes[at]! < 0x80 && bytes[at + 1]! >= 0x80 && isEventAt(cursor, at + 1);
}

function isEventAt({ bytes, limit }: TrackCursor, at: number): boolean {
  const status = bytes[at]!;
  if (status < 0xf0) {
    const end = at + 1 + DATA_BYTES[status]!;
    if (end > limit) return false;
    for (let i = at + 1; i < end; i += 1) {
      if (bytes[i]! >= 0x80) return false;
    }
    return true;
  }
  // Short lengths only: a wrong guess must not swallow the track.
  if (status === 0xff) return bytes[at + 1]! < 0x80 && fits(bytes[at + 2]!, at + 3, limit);
  if (status === 0xf0) return fits(bytes[at + 1]!, at + 2, limit);
  return false;
}

function fits(length: number, start: number, limit: number): boolean {
  return length < 0x80 && start + length <= limit;
}
