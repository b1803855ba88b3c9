import { thin } from '../arrange/thin.ts';
import type { Timeline, TimelineColumns } from '../timeline/timeline.ts';
import { fileOrderPlan } from '../wire/file-order-plan.ts';
import { onsetBound } from '../wire/onset-bound.ts';
import { HEARD_MICROS } from '../wire/onset-lateness.ts';
import { onsetRangeOf } from '../wire/onset-range.ts';
import { packedPlan } from '../wire/packed-plan.ts';
import type { PackOptions } from '../wire/packing/pack-options.ts';
import { simulatePlan, type WireRun } from '../wire/simulate-plan.ts';
import { microsPerByte } from '../wire/wire-traits.ts';
import type { CheckOptions } from './check-options.ts';
import { peakCurveOf } from './peak-curve.ts';
import { planCheckOf } from './plan-check.ts';
import type { CheckChange, PlanCheck, ThinnedCheck, WireCheck } from './song-check.ts';

/** How a song may be played: what of its options the wire depends on. */
interface Way {
  readonly earlyMicros: number;
  readonly setupFirst: boolean;
  /** -1 for no thinning. */
  readonly tolerance: number;
}

/** Early enough to centre the largest chord (16 notes, 15.36 ms) on its moment. */
const EARLY_MS = 20;

/** From what changes least to what changes most. */
const WAYS: readonly Partial<Way>[] = [
  { tolerance: 0 },
  { tolerance: 2 },
  { earlyMicros: EARLY_MS * 1000 },
  { earlyMicros: EARLY_MS * 1000, tolerance: 2 },
];

export interface WireVerdict {
  readonly check: WireCheck;
  readonly changes: readonly CheckChange[];
  /** No onset is heard late, as it is or with the changes. */
  readonly asItIs: boolean;
  readonly withChanges: boolean;
}

/** The wire's part of the report: file order, packed, thinned, and what else would help if that is not enough. */
export function wireCheckOf(timeline: Timeline, options: CheckOptions): WireVerdict {
  const { columns } = timeline;
  const { traits } = options;
  const asked: Way = {
    earlyMicros: options.earlyMicros,
    setupFirst: options.setupFirst,
    tolerance: options.thin ? options.tolerance : -1,
  };
  const checkOf = (run: WireRun) => planCheckOf(timeline, run);

  const bound = onsetBound(columns, traits);
  const fileRun = simulatePlan(fileOrderPlan(columns), traits, options);
  const fileOrder = checkOf(fileRun);
  // The plan's own last resort would run file order once more: here its run is at hand.
  const freeRun = runPacked(columns, { ...options, fallBack: false }, asked);
  const free = checkOf(freeRun);
  const isBetter = free.worstOnsetLatenessMicros <= fileOrder.worstOnsetLatenessMicros;
  const packed = isBetter ? free : fileOrder;
  const packedRun = isBetter ? freeRun : fileRun;
  const hasGain = packed.worstOnsetDistanceMicros > bound.worstMicros + 3 * microsPerByte(traits);
  const thinned = options.thin || hasGain ? thinnedCheckOf(timeline, options, asked) : null;
  const own = options.thin && thinned !== null ? thinned : packed;
  const asItIs = isInTime(own);
  const better = asItIs ? undefined : bestWay(columns, options, asked, own, bound.worstMicros);
  return {
    check: {
      baud: traits.baud,
      runningStatus: traits.runningStatus === 'ours',
      boundMicros: bound.worstMicros,
      boundRmsMicros: bound.rmsMicros,
      fileOrder,
      packed,
      thinned,
      changed: better === undefined ? null : checkOf(runPacked(thinnedBy(columns, better), options, better)),
      curve: peakCurveOf(packedRun, timeline.durationMicros, options.curvePoints),
    },
    changes: better === undefined ? [] : changesOf(asked, better),
    asItIs,
    withChanges: asItIs || (better !== undefined && better.distanceMicros <= HEARD_MICROS),
  };
}

const isInTime = (check: PlanCheck) => check.worstOnsetDistanceMicros <= HEARD_MICROS;

function thinnedCheckOf(timeline: Timeline, options: CheckOptions, asked: Way): ThinnedCheck {
  const { columns, dropped, reductions } = thin(timeline.columns, options.tolerance);
  return {
    ...planCheckOf(timeline, runPacked(columns, { ...options, fallBack: false }, asked)),
    tolerance: options.tolerance,
    dropped: dropped.length,
    reductions: reductions.map((one) => ({ ...one, channel: one.channel + 1 })),
  };
}

const thinnedBy = (columns: TimelineColumns, { tolerance }: Way): TimelineColumns =>
  tolerance < 0 ? columns : thin(columns, tolerance).columns;

function runPacked(columns: TimelineColumns, options: CheckOptions & PackOptions, way: Way): WireRun {
  return simulatePlan(packedPlan(columns, options.traits, { ...options, ...way }), options.traits, options);
}

/**
 * The first way that keeps every onset in time; else the one that helps most, if any helps. Tried without the
 * last resort, which can only make it better.
 */
function bestWay(
  columns: TimelineColumns,
  options: CheckOptions,
  asked: Way,
  own: PlanCheck,
  boundMicros: number,
): (Way & { readonly distanceMicros: number }) | undefined {
  const { traits } = options;
  const thinned = new Map<number, TimelineColumns>();
  let best: (Way & { readonly distanceMicros: number }) | undefined;
  for (const more of WAYS) {
    const way = { ...asked, ...more };
    // Without early notes nothing gets below the bound.
    const isHopeless = boundMicros > HEARD_MICROS && way.earlyMicros === 0;
    if (isHopeless || changesOf(asked, way).length === 0) continue;
    const source = thinned.get(way.tolerance) ?? thinnedBy(columns, way);
    thinned.set(way.tolerance, source);
    const plan = packedPlan(source, traits, { ...options, ...way, fallBack: false });
    const { distanceMicros } = onsetRangeOf(plan, traits, options);
    if (distanceMicros < (best?.distanceMicros ?? own.worstOnsetDistanceMicros))
      best = { ...way, distanceMicros };
    if (distanceMicros <= HEARD_MICROS) break;
  }
  return best;
}

function changesOf(asked: Way, way: Way): CheckChange[] {
  const changes: CheckChange[] = [];
  if (way.tolerance > asked.tolerance) {
    const steps = way.tolerance === 0 ? 'that say nothing new' : `closer than ${way.tolerance} steps of 128`;
    changes.push({
      flags: ['--thin', String(way.tolerance)],
      text: `leave out controllers, bends and pressure ${steps}`,
    });
  }
  if (way.earlyMicros > asked.earlyMicros) {
    const early = way.earlyMicros / 1000;
    changes.push({
      flags: ['--early', String(early)],
      text: `let notes come up to ${early} ms early, so that chords are centred on their moment`,
    });
  }
  return changes;
}
