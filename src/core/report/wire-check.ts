import { type Arrangement, AS_WRITTEN, arrange } from '../arrange/arrangement.ts';
import { drumChannelsOf, soloOrchestra } from '../instrument/orchestra.ts';
import type { Timeline, TimelineColumns } from '../timeline/timeline.ts';
import { onsetBound } from '../wire/onset-bound.ts';
import { HEARD_MICROS } from '../wire/onset-lateness.ts';
import { onsetRangeOf } from '../wire/onset-range.ts';
import { type PlannedSong, type PlanOptions, planSong } from '../wire/plan-song.ts';
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
  readonly arrangement: Arrangement;
}

/** Early enough to centre the largest chord (16 notes, 15.36 ms) on its moment. */
const EARLY_MS = 20;

/** From what changes least to what changes most. */
const WAYS: readonly Partial<Way>[] = [
  { arrangement: { tolerance: 0 } },
  { arrangement: { tolerance: 2 } },
  { earlyMicros: EARLY_MS * 1000 },
  { earlyMicros: EARLY_MS * 1000, arrangement: { tolerance: 2 } },
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
    arrangement: options.thin ? { tolerance: options.tolerance } : AS_WRITTEN,
  };
  const checkOf = (run: WireRun) => planCheckOf(timeline, run);
  const ways = new Ways(columns, options);

  const bound = onsetBound(columns, traits);
  const fileRun = ways.run({ ...asked, arrangement: AS_WRITTEN }, { order: 'file-order' });
  const fileOrder = checkOf(fileRun);
  // The plan's own last resort would run file order once more: here its run is at hand.
  const freeRun = ways.run({ ...asked, arrangement: AS_WRITTEN }, { fallBack: false });
  const free = checkOf(freeRun);
  const isBetter = free.worstOnsetLatenessMicros <= fileOrder.worstOnsetLatenessMicros;
  const packed = isBetter ? free : fileOrder;
  const packedRun = isBetter ? freeRun : fileRun;
  const hasGain = packed.worstOnsetDistanceMicros > bound.worstMicros + 3 * microsPerByte(traits);
  const thinned = options.thin || hasGain ? thinnedCheckOf(timeline, options, asked, ways) : null;
  const own = options.thin && thinned !== null ? thinned : packed;
  const asItIs = isInTime(own);
  const better = asItIs ? undefined : bestWay(ways, options, asked, own, bound.worstMicros);
  return {
    check: {
      port: null,
      baud: traits.baud,
      runningStatus: traits.runningStatus === 'ours',
      boundMicros: bound.worstMicros,
      boundRmsMicros: bound.rmsMicros,
      fileOrder,
      packed,
      thinned,
      changed: better === undefined ? null : checkOf(ways.run(better)),
      curve: peakCurveOf(packedRun, timeline.durationMicros, options.curvePoints),
    },
    changes: better === undefined ? [] : changesOf(asked, better),
    asItIs,
    withChanges: asItIs || (better !== undefined && better.distanceMicros <= HEARD_MICROS),
  };
}

const isInTime = (check: PlanCheck) => check.worstOnsetDistanceMicros <= HEARD_MICROS;

function thinnedCheckOf(timeline: Timeline, options: CheckOptions, asked: Way, ways: Ways): ThinnedCheck {
  const way = { ...asked, arrangement: { tolerance: options.tolerance } };
  const { arranged, plan } = ways.plan(way, { fallBack: false });
  return {
    ...planCheckOf(timeline, simulatePlan(plan, options.traits, options)),
    tolerance: options.tolerance,
    dropped: arranged.dropped,
    reductions: arranged.reductions.map((one) => ({ ...one, channel: one.channel + 1 })),
  };
}

/** Plans one song in several ways, and arranges it in each way only once. */
class Ways {
  readonly #columns: TimelineColumns;
  readonly #options: CheckOptions;
  readonly #arranged = new Map<number | undefined, ReturnType<typeof arrange>>();

  constructor(columns: TimelineColumns, options: CheckOptions) {
    this.#columns = columns;
    this.#options = options;
  }

  plan({ arrangement, ...way }: Way, more: Partial<PlanOptions> = {}): PlannedSong {
    const drumChannels = drumChannelsOf(soloOrchestra(this.#options.instrument));
    const options = { order: 'packed', ...this.#options, drumChannels, ...way, ...more } as const;
    return planSong(this.#columns, arrangement, this.#options.traits, options, this.#arrange);
  }

  run(way: Way, more?: Partial<PlanOptions>): WireRun {
    return simulatePlan(this.plan(way, more).plan, this.#options.traits, this.#options);
  }

  readonly #arrange: typeof arrange = (columns, arrangement) => {
    const known = this.#arranged.get(arrangement.tolerance);
    if (known !== undefined) return known;
    const arranged = arrange(columns, arrangement);
    this.#arranged.set(arrangement.tolerance, arranged);
    return arranged;
  };
}

/**
 * The first way that keeps every onset in time; else the one that helps most, if any helps. Tried without the
 * last resort, which can only make it better.
 */
function bestWay(
  ways: Ways,
  options: CheckOptions,
  asked: Way,
  own: PlanCheck,
  boundMicros: number,
): (Way & { readonly distanceMicros: number }) | undefined {
  let best: (Way & { readonly distanceMicros: number }) | undefined;
  for (const more of WAYS) {
    const way = { ...asked, ...more };
    // Without early notes nothing gets below the bound.
    const isHopeless = boundMicros > HEARD_MICROS && way.earlyMicros === 0;
    if (isHopeless || changesOf(asked, way).length === 0) continue;
    const { plan } = ways.plan(way, { fallBack: false });
    const { distanceMicros } = onsetRangeOf(plan, options.traits, options);
    if (distanceMicros < (best?.distanceMicros ?? own.worstOnsetDistanceMicros))
      best = { ...way, distanceMicros };
    if (distanceMicros <= HEARD_MICROS) break;
  }
  return best;
}

function changesOf(asked: Way, way: Way): CheckChange[] {
  const changes: CheckChange[] = [];
  const { tolerance = -1 } = way.arrangement;
  if (tolerance > (asked.arrangement.tolerance ?? -1)) {
    const steps = tolerance === 0 ? 'that say nothing new' : `closer than ${tolerance} steps of 128`;
    changes.push({
      flags: ['--thin', String(tolerance)],
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
