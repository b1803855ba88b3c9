import { PayloadKind } from '../timeline/payload-kind.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/** What a row of system bytes is (one of `PayloadKind`). */
export function payloadKindOf(columns: TimelineColumns, row: number): number {
  return columns.payloadKind[columns.payload[row]!] ?? PayloadKind.broken;
}
