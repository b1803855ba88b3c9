import type { TimelineColumns } from '../../timeline/timeline.ts';
import { microsPerByte, type WireTraits } from '../wire-traits.ts';
import type { MessageCosts } from './message-costs.ts';
import type { OnsetMoments } from './onset-moments.ts';
import type { PackOptions } from './pack-options.ts';
import { RowHeap } from './row-heap.ts';
import { NO_ROW, RowKind, type RowRules } from './row-rules.ts';

/**
 *   need     u32  the first moment whose notes must not sound before this row; NO_ROW for none
 *   deadline f64  when it should be on the wire at the latest: for the moment that needs it, or by its patience
 *   handOver f64  when the row may be handed to the wire: its due time, or earlier where a moment needs room
 */
export interface LatestStarts {
  readonly need: Uint32Array;
  readonly deadline: Float64Array;
  readonly handOver: Float64Array;
}

/**
 * Time kept free before each moment: a message that has begun cannot be broken off, so two (three bytes each)
 * may be in the way when the backward walk's plan is carried out.
 */
const RESERVE_MESSAGES = 2;

/** Whatever is not a note gives way to note-ons for so long: nobody strikes a controller in time. */
const STATE_PATIENCE_MICROS = 50_000;

/** For how long (µs) a row that is no onset gives way to note-ons. */
export const patienceOf = (kind: number, yieldMicros: number): number =>
  kind === RowKind.release ? yieldMicros : STATE_PATIENCE_MICROS;

/**
 * Which messages have to move early, and how far. Walks from the end of the song to its start and lays each
 * message that may move as late as it fits into the wire's idle time before the moment that needs it.
 * (Scheduling backwards from the deadlines; of those waiting, the one that may move least is laid first. With
 * equal lengths no order meets more deadlines: Jackson's rule, 1955, with time reversed.)
 */
export function latestStartsOf(
  columns: TimelineColumns,
  moments: OnsetMoments,
  rules: RowRules,
  costs: MessageCosts,
  traits: WireTraits,
  options: Required<PackOptions>,
): LatestStarts {
  const { count, micros } = columns;
  const need = needsOf(columns, moments, rules);
  const handOver = micros.slice(0, count);
  // A copy: some releases may not move after all, and the rules stay as they are.
  const earliest = rules.earliest.slice(0, count);
  const deadline = new Float64Array(count);
  const longest = Math.max(STATE_PATIENCE_MICROS, options.yieldMicros);
  const reserve = RESERVE_MESSAGES * (3 * microsPerByte(traits) + traits.gapMicros);
  for (let row = 0; row < count; row += 1) {
    if (rules.kind[row] === RowKind.onset) {
      handOver[row] = earliest[row]!;
      continue;
    }
    const isRelease = rules.kind[row] === RowKind.release;
    const patience = micros[row]! + patienceOf(rules.kind[row]!, options.yieldMicros);
    const needed = need[row] === NO_ROW ? Number.POSITIVE_INFINITY : moments.start[need[row]!]!;
    deadline[row] = Math.min(patience, needed - reserve);
    // A note is shortened only for the sake of a strike.
    if (isRelease && needed >= patience) earliest[row] = micros[row]!;
  }

  // A row that may not move and that no moment needs soon yields to all others: it has no say here.
  const hasSay = (row: number) => {
    if (earliest[row]! < micros[row]!) return true;
    return deadline[row]! < micros[row]! + patienceOf(rules.kind[row]!, options.yieldMicros);
  };
  const coming = new RowHeap(deadline);
  const waiting = new RowHeap(earliest);
  let next = count - 1;
  let block = moments.count - 1;
  let now = Number.POSITIVE_INFINITY;
  for (;;) {
    // A row may still come whose deadline is later than that of any row pushed so far: look ahead far enough.
    while (next >= 0 && (coming.size === 0 || micros[next]! + longest > deadline[coming.top]!)) {
      if (rules.kind[next] !== RowKind.onset && hasSay(next)) coming.push(next);
      next -= 1;
    }
    if (waiting.size === 0) {
      if (coming.size === 0) break;
      now = Math.min(now, deadline[coming.top]!);
    }
    while (block >= 0 && moments.start[block]! >= now) block -= 1;
    if (block >= 0 && now < moments.end[block]!) {
      now = moments.start[block]!;
      block -= 1;
    }
    if (coming.size > 0 && deadline[coming.top]! >= now) {
      waiting.push(coming.top);
      coming.pop();
      continue;
    }
    const idleFrom = block >= 0 ? moments.end[block]! : Number.NEGATIVE_INFINITY;
    const before = block >= 0 ? moments.start[block]! : Number.NEGATIVE_INFINITY;
    const row = waiting.top;
    const start = now - costs.at(row);
    if (start < idleFrom && earliest[row]! <= before) {
      now = before;
      continue;
    }
    waiting.pop();
    const placed = Math.max(start, earliest[row]!, idleFrom);
    handOver[row] = Math.min(handOver[row]!, placed);
    now = Math.min(now, placed);
  }
  leadTheWay(columns, rules, earliest, handOver);
  return { need, deadline, handOver };
}

/**
 * Note-offs and repeats of a channel keep their order: one must not hold up what goes early behind it, so it goes as
 * early, where it may. (What stands before a fence or SysEx is needed when that is, and is laid before it anyway.)
 */
function leadTheWay(
  columns: TimelineColumns,
  rules: RowRules,
  earliest: Float64Array,
  handOver: Float64Array,
): void {
  const soonest = new Float64Array(16).fill(Number.POSITIVE_INFINITY);
  for (let row = columns.count - 1; row > 0; row -= 1) {
    if (rules.kind[row] !== RowKind.release && rules.kind[row] !== RowKind.repeat) continue;
    const channel = columns.status[row]! & 0x0f;
    handOver[row] = Math.max(earliest[row]!, Math.min(handOver[row]!, soonest[channel]!));
    soonest[channel] = Math.min(soonest[channel]!, handOver[row]!);
  }
}

/** Walks backwards: a fence is needed by the channel's next onset, a release by its key's, or by the next fence's. */
function needsOf(columns: TimelineColumns, moments: OnsetMoments, rules: RowRules): Uint32Array {
  const { count, status, data1 } = columns;
  const need = new Uint32Array(count).fill(NO_ROW);
  const ofChannel = new Uint32Array(16).fill(NO_ROW);
  const ofKey = new Uint32Array(2048).fill(NO_ROW);
  const ofFence = new Uint32Array(16).fill(NO_ROW);
  let ofAny = NO_ROW;
  for (let row = count - 1; row >= 0; row -= 1) {
    const kind = rules.kind[row]!;
    if (kind === RowKind.barrier) {
      need[row] = ofAny;
      ofFence.fill(ofAny);
      continue;
    }
    const channel = status[row]! & 0x0f;
    const key = channel * 128 + data1[row]!;
    if (kind === RowKind.onset) {
      const moment = moments.momentOf[row]!;
      ofChannel[channel] = ofKey[key] = ofAny = moment;
    } else if (kind === RowKind.fence) {
      need[row] = ofFence[channel] = Math.min(ofChannel[channel]!, ofFence[channel]!);
    } else {
      need[row] = ofFence[channel]!;
      if (kind === RowKind.release) need[row] = Math.min(need[row]!, ofKey[key]!);
    }
  }
  return need;
}
