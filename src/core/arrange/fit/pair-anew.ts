import { pairNotes } from '../../timeline/pair-notes.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { TimelineFindings } from '../../timeline/timeline-finding.ts';

/** Pairs the notes of rows that were put together, as one instrument hears them; what is odd about them was told before. */
export function pairAnew(columns: TimelineColumns): void {
  pairNotes(columns, ONE_PORT, false, new TimelineFindings());
}

const ONE_PORT = new Uint8Array(0x1_0000);
