import * as midi from '../midi/status.ts';
import type { TimelineColumns } from './timeline.ts';

/** 9n with a velocity. */
export function isNoteOn(columns: TimelineColumns, row: number): boolean {
  return midi.isNoteOn(columns.status[row]!, columns.data2[row]!);
}

/** 8n, or 9n with velocity 0. */
export function isNoteOff(columns: TimelineColumns, row: number): boolean {
  return midi.isNoteOff(columns.status[row]!, columns.data2[row]!);
}
