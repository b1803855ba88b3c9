import type { TimelineColumns } from '../timeline/timeline.ts';
import { fileOrderPlan } from './file-order-plan.ts';
import { latestStartsOf } from './packing/latest-starts.ts';
import { ListSchedule } from './packing/list-schedule.ts';
import { momentOrder, reordered } from './packing/moment-order.ts';
import { onsetMomentsOf } from './packing/onset-moments.ts';
import { PACK_DEFAULTS, type PackOptions } from './packing/pack-options.ts';
import { rowRulesOf } from './packing/row-rules.ts';
import type { SendPlan } from './send-plan.ts';
import type { WireTraits } from './wire-traits.ts';
import { worstOnsetOf } from './worst-onset.ts';

/**
 * The plan that makes room: note-ons first, setups early, note-offs a little late, chords in the order that
 * hides best that they are spread. The rules, and why they cannot change the sound, are in docs/wire.md.
 * Where the file's own order is better after all, that is what one gets: a packed plan's worst onset is never
 * later than file order's. Linear in events but for a heap of what is waiting.
 */
export function packedPlan(
  columns: TimelineColumns,
  traits: WireTraits,
  options: PackOptions = {},
): SendPlan {
  const settings = { ...PACK_DEFAULTS, ...options };
  const order = momentOrder(columns, settings.setupFirst);
  const sorted = reordered(columns, order);
  const moments = onsetMomentsOf(sorted, traits, settings);
  const rules = rowRulesOf(sorted, moments, settings);
  const starts = latestStartsOf(sorted, moments, rules, traits, settings);
  const { event, releaseMicros } = new ListSchedule(sorted, moments, rules, starts, traits, settings);
  for (let row = 0; row < columns.count; row++) event[row] = order[event[row]!]!;
  const packed: SendPlan = { kind: 'packed', columns, count: columns.count, event, releaseMicros };
  if (!settings.fallBack) return packed;
  const filed = fileOrderPlan(columns);
  const isWorse = worstOnsetOf(packed, traits, settings) > worstOnsetOf(filed, traits, settings);
  return isWorse ? { ...filed, kind: 'packed' } : packed;
}
