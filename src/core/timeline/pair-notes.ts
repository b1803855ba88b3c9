import { HeldPedals } from './held-pedals.ts';
import { NotePairs } from './note-pairs.ts';
import { NO_PARTNER, type TimelineColumns } from './timeline.ts';
import type { TimelineFindings } from './timeline-finding.ts';

/**
 * Fills `partner` of all rows, and finds what is wrong with notes and pedals: one walk for all,
 * as a walk over a million notes costs more than what is done on the way.
 * @param portOf port slot (0, 1, 2 …) of each track
 * @param patterns format 2: each track is a pattern of its own, and no note outlives it
 */
export function pairNotes(
  columns: TimelineColumns,
  portOf: Uint8Array,
  patterns: boolean,
  findings: TimelineFindings,
): void {
  const { count, status, data1, data2, track, partner } = columns;
  const ports = portOf.reduce((most, port) => Math.max(most, port + 1), 1);
  const pairs = new NotePairs(columns, ports);
  const pedals = new HeldPedals();
  let pattern = 0;
  for (let row = 0; row < count; row += 1) {
    if (patterns && track[row] !== pattern) {
      pattern = track[row]!;
      pairs.end();
    }
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 0x0f;
    const port = ports === 1 ? 0 : portOf[track[row]!]!;
    if (kind === 0x90 && data2[row]! > 0) pairs.strike(row, port, channel, data1[row]!);
    else if (kind === 0x90 || kind === 0x80) pairs.release(row, port, channel, data1[row]!);
    else {
      partner[row] = NO_PARTNER;
      if (kind === 0xb0) pedals.controller(channel, data1[row]!, data2[row]!);
    }
  }
  pairs.end();
  pairs.report(findings);
  pedals.report(findings);
}
