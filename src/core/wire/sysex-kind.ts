import { DUMP_SUB_IDS } from '../midi/universal-sysex.ts';
import { NO_PAYLOAD } from '../smf/song.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/** What a row of system bytes is to the wire. */
export type SysExKind = 'reset' | 'universal' | 'own';

/**
 * `reset`: General MIDI on, off, GM2 on (7E … 09). `universal`: what else is defined for every device and
 * stores nothing. `own`: a maker's or an escape's bytes, and dumps: held back unless the user allows them, for
 * they can overwrite a device's memory. The scheduler's catalogue judges alike.
 */
export function sysExKindOf(columns: TimelineColumns, row: number): SysExKind {
  const payload = columns.payload[row]!;
  if (columns.status[row] !== 0xf0 || payload === NO_PAYLOAD) return 'own';
  const bytes = columns.payloadBytes;
  const at = columns.payloadStart[payload]!;
  const id = bytes[at];
  if ((id !== 0x7e && id !== 0x7f) || columns.payloadLength[payload]! < 4) return 'own';
  if (id === 0x7f) return 'universal';
  const sub = bytes[at + 2]!;
  return sub === 0x09 ? 'reset' : DUMP_SUB_IDS.has(sub) ? 'own' : 'universal';
}
