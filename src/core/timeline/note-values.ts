import type { FindingValues } from '../smf/finding-list.ts';
import type { TimelineColumns } from './timeline.ts';
import type { PlaceOf } from './timeline-finding.ts';

/** Channel (as people count), key and place of a note, for the sentence of a finding. */
export function noteValues(columns: TimelineColumns, row: number, place: PlaceOf): FindingValues {
  const { status, data1, tick } = columns;
  return { channel: (status[row]! & 0x0f) + 1, key: data1[row]!, place: place(tick[row]!) };
}
