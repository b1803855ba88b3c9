import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import { type LatestStarts, latestStartsOf } from '../../../../src/core/wire/packing/latest-starts.ts';
import { MessageCosts } from '../../../../src/core/wire/packing/message-costs.ts';
import { momentOrder, reordered } from '../../../../src/core/wire/packing/moment-order.ts';
import { type OnsetMoments, onsetMomentsOf } from '../../../../src/core/wire/packing/onset-moments.ts';
import { type PackOptions, packSettings } from '../../../../src/core/wire/packing/pack-options.ts';
import { type RowRules, rowRulesOf } from '../../../../src/core/wire/packing/row-rules.ts';
import { MIDI_WIRE, type WireTraits } from '../../../../src/core/wire/wire-traits.ts';

/** What each stage of packing makes of a song, up to the schedule. */
export interface Stages {
  /** The song in the order that packing starts from. */
  readonly columns: TimelineColumns;
  readonly traits: WireTraits;
  readonly settings: Required<PackOptions>;
  readonly moments: OnsetMoments;
  readonly rules: RowRules;
  readonly costs: MessageCosts;
  readonly starts: LatestStarts;
}

export function stagesOf(
  written: TimelineColumns,
  options: PackOptions = {},
  traits: WireTraits = MIDI_WIRE,
): Stages {
  const settings = packSettings(options);
  const columns = reordered(written, momentOrder(written, settings.setupFirst));
  const moments = onsetMomentsOf(columns, traits, settings);
  const rules = rowRulesOf(columns, moments, settings);
  const costs = new MessageCosts(columns, traits, settings);
  const starts = latestStartsOf(columns, moments, rules, costs, traits, settings);
  return { columns, traits, settings, moments, rules, costs, starts };
}
