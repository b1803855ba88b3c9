import { type Arranged, type Arrangement, arrange } from '../arrange/arrangement.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { fileOrderPlan } from './file-order-plan.ts';
import { packedPlan } from './packed-plan.ts';
import type { PackOptions } from './packing/pack-options.ts';
import type { SendPlan } from './send-plan.ts';
import type { WireTraits } from './wire-traits.ts';

export interface PlanOptions extends PackOptions {
  readonly order: SendPlan['kind'];
}

export interface PlannedSong {
  readonly arranged: Arranged;
  readonly plan: SendPlan;
}

/**
 * Arrange, then plan: what playing and checking both do with a song, so that one is true of the other.
 * @param arranging remembers, where a song is planned in several ways
 */
export function planSong(
  written: TimelineColumns,
  arrangement: Arrangement,
  traits: WireTraits,
  options: PlanOptions,
  arranging: typeof arrange = arrange,
): PlannedSong {
  const arranged = arranging(written, arrangement);
  const { columns } = arranged;
  return {
    arranged,
    plan: options.order === 'packed' ? packedPlan(columns, traits, options) : fileOrderPlan(columns),
  };
}
