import { Cc } from '../midi/controllers.ts';
import { classifySysEx } from '../midi/universal-sysex.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import { sharedU8 } from '../timeline/shared-columns.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { timelineColumns } from '../timeline/timeline-columns.ts';
import { type AddedRow, withRows } from './with-rows.ts';

/** Channel Volume where a song sets none (General MIDI Level 1). */
const VOLUME_AT_REST = 100;

/**
 * Makes a song louder or softer by its channel volumes (CC 7, which every General MIDI module follows), each scaled
 * alike, so that the balance stays until one reaches 127. A channel that never sets its volume, or has lost it to a
 * reset, gets one before its next note.
 */
export function scaleVolume(columns: TimelineColumns, percent: number): TimelineColumns {
  if (percent === 100) return columns;
  const scaled = (volume: number) => Math.min(127, Math.round((volume * percent) / 100));
  const { count, status, data1, payload, payloadBytes, payloadStart, payloadLength } = columns;
  const data2 = sharedU8(count);
  data2.set(columns.data2);
  const isSet = new Uint8Array(16);
  const added: AddedRow[] = [];
  for (let row = 0; row < count; row += 1) {
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 0x0f;
    if (kind === 0xf0) {
      const at = payload[row]!;
      const start = payloadStart[at] ?? 0;
      // After a reset in the song every volume is at rest again.
      if (status[row] === 0xf0 && classifySysEx(payloadBytes, start, payloadLength[at] ?? 0).reset)
        isSet.fill(0);
    } else if (kind === 0xb0 && data1[row] === Cc.volume) {
      data2[row] = scaled(data2[row]!);
      isSet[channel] = 1;
    } else if (isSet[channel] === 0 && isNoteOn(columns, row)) {
      added.push({ before: row, status: 0xb0 | channel, data1: Cc.volume, data2: scaled(VOLUME_AT_REST) });
      isSet[channel] = 1;
    }
  }
  return withRows(timelineColumns({ ...columns, data2 }), added);
}
