import { sharedF64, sharedU32 } from '../timeline/shared-columns.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import type { SendPlan } from './send-plan.ts';

/** The plan that plans nothing: every message at its own moment, in the order of the timeline. */
export function fileOrderPlan(columns: TimelineColumns): SendPlan {
  const event = sharedU32(columns.count);
  const releaseMicros = sharedF64(columns.count);
  for (let row = 0; row < columns.count; row += 1) event[row] = row;
  releaseMicros.set(columns.micros.subarray(0, columns.count));
  return { kind: 'file-order', columns, count: columns.count, event, releaseMicros };
}
