import type { TimelineColumns } from './timeline.ts';

/** 9n with a velocity. */
export function isNoteOn(columns: TimelineColumns, row: number): boolean {
  return (columns.status[row]! & 0xf0) === 0x90 && columns.data2[row]! > 0;
}

/** 8n, or 9n with velocity 0 (MIDI 1.0, p. 10). */
export function isNoteOff(columns: TimelineColumns, row: number): boolean {
  const kind = columns.status[row]! & 0xf0;
  return kind === 0x80 || (kind === 0x90 && columns.data2[row]! === 0);
}
