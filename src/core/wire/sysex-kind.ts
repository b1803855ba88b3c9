import { NO_PAYLOAD } from '../smf/song.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/** What a row of system bytes is to the wire. */
export type SysExKind = 'reset' | 'universal' | 'own';

/**
 * `reset`: GM System On or Off, GM2 System On (Universal Non-Real-Time, sub-ids 09 01–03: MIDI 1.0 Table VIIa,
 * GM2). `universal`: any other id 7E or 7F. `own`: a maker's or an escape's bytes: held back unless allowed,
 * for they can overwrite a device's memory.
 */
export function sysExKindOf(columns: TimelineColumns, row: number): SysExKind {
  const payload = columns.payload[row]!;
  if (columns.status[row] !== 0xf0 || payload === NO_PAYLOAD) return 'own';
  const bytes = columns.payloadBytes;
  const at = columns.payloadStart[payload]!;
  const length = columns.payloadLength[payload]!;
  const id = bytes[at];
  if (length < 1 || (id !== 0x7e && id !== 0x7f)) return 'own';
  const isReset = id === 0x7e && length >= 4 && bytes[at + 2] === 0x09;
  return isReset ? 'reset' : 'universal';
}
