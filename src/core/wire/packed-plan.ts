import type { TimelineColumns } from '../timeline/timeline.ts';
import { fileOrderPlan } from './file-order-plan.ts';
import { onsetRangeOf } from './onset-range.ts';
import { latestStartsOf } from './packing/latest-starts.ts';
import { ListSchedule } from './packing/list-schedule.ts';
import { MessageCosts } from './packing/message-costs.ts';
import { momentOrder, reordered } from './packing/moment-order.ts';
import { onsetMomentsOf } from './packing/onset-moments.ts';
import { type PackOptions, packSettings } from './packing/pack-options.ts';
import { rowRulesOf } from './packing/row-rules.ts';
import type { SendPlan } from './send-plan.ts';
import type { WireTraits } from './wire-traits.ts';

/**
 * The plan that makes room: note-ons first, setups early, note-offs a little late, chords in the order that
 * hides best that they are spread. The rules, and why they cannot change the sound, are in docs/wire.md.
 *
 * Where that is no gain after all, one gets what it would have been measured against: with early notes the plan
 * without them, without early notes the file's own order. So the latest note is never later than in file order,
 * and with early notes none is further from its moment than without. Linear in events but for a heap of what
 * is waiting.
 */
export function packedPlan(
  columns: TimelineColumns,
  traits: WireTraits,
  options: PackOptions = {},
): SendPlan {
  const settings = packSettings(options);
  const packed = pack(columns, traits, settings);
  if (!settings.fallBack) return packed;
  const distance = (plan: SendPlan) => onsetRangeOf(plan, traits, settings).distanceMicros;
  const other =
    settings.earlyMicros > 0
      ? packedPlan(columns, traits, { ...options, earlyMicros: 0 })
      : { ...fileOrderPlan(columns), kind: 'packed' as const };
  return distance(other) < distance(packed) ? other : packed;
}

function pack(columns: TimelineColumns, traits: WireTraits, settings: Required<PackOptions>): SendPlan {
  const order = momentOrder(columns, settings.setupFirst);
  const sorted = reordered(columns, order);
  const moments = onsetMomentsOf(sorted, traits, settings);
  const rules = rowRulesOf(sorted, moments, settings);
  const costs = new MessageCosts(sorted, traits, settings);
  const starts = latestStartsOf(sorted, moments, rules, costs, traits, settings);
  const { event, releaseMicros } = new ListSchedule(sorted, moments, rules, starts, costs, traits, settings);
  for (let row = 0; row < columns.count; row += 1) event[row] = order[event[row]!]!;
  return { kind: 'packed', columns, count: columns.count, event, releaseMicros };
}
