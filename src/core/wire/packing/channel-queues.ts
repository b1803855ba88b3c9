import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { LatestStarts } from './latest-starts.ts';
import { NO_ROW, RowKind, type RowRules } from './row-rules.ts';

export const CHANNELS = 16;
/**
 * Each channel has its rows in four queues, in playing order: releases and repeats that a moment soon needs, the
 * other releases and repeats, fences, onsets. Barriers have a queue of their own.
 */
export const NEEDED = 0;
export const LOOSE = 1;
export const FENCE = 2;
export const ONSET = 3;
export const QUEUES = 4;

export interface ChannelQueues {
  /** [row] its queue: channel × QUEUES + kind. */
  readonly queueOf: Uint8Array;
  /** [row] the row behind it in its queue, NO_ROW for the last. */
  readonly next: Uint32Array;
  /** [queue] its first row. */
  readonly head: Uint32Array;
  /** [row] `LatestStarts.handOver`, but never before that of a fence or barrier the row must follow. */
  readonly handOver: Float64Array;
  /** The first barrier. */
  readonly barrier: number;
}

/**
 * Puts every row into its queue, and sees to it that none is handed over before a fence or barrier it must follow.
 * @param patienceOf until when (µs) a row gives way to note-ons
 */
export function channelQueuesOf(
  columns: TimelineColumns,
  rules: RowRules,
  starts: LatestStarts,
  patienceOf: (row: number) => number,
): ChannelQueues {
  const { count, status } = columns;
  const { kind } = rules;
  const { deadline } = starts;
  const handOver = starts.handOver.slice(0, count);
  const queueOf = new Uint8Array(count);
  const next = new Uint32Array(count).fill(NO_ROW);
  const head = new Uint32Array(CHANNELS * QUEUES).fill(NO_ROW);
  const tail = new Uint32Array(CHANNELS * QUEUES).fill(NO_ROW);
  const fenced = new Float64Array(CHANNELS).fill(Number.NEGATIVE_INFINITY);
  const touched = new Float64Array(CHANNELS).fill(Number.NEGATIVE_INFINITY);
  let firstBarrier = NO_ROW;
  let lastBarrier = NO_ROW;
  for (let row = 0; row < count; row += 1) {
    if (kind[row] === RowKind.barrier) {
      for (let channel = 0; channel < CHANNELS; channel += 1) {
        handOver[row] = Math.max(handOver[row]!, touched[channel]!);
      }
      fenced.fill(handOver[row]!);
      touched.fill(handOver[row]!);
      if (lastBarrier === NO_ROW) firstBarrier = row;
      else next[lastBarrier] = row;
      lastBarrier = row;
      continue;
    }
    const channel = status[row]! & 0x0f;
    let queue = ONSET;
    if (kind[row] === RowKind.fence) {
      queue = FENCE;
      handOver[row] = fenced[channel] = Math.max(handOver[row]!, touched[channel]!);
    } else if (kind[row] !== RowKind.onset) {
      queue = deadline[row]! < patienceOf(row) ? NEEDED : LOOSE;
      handOver[row] = Math.max(handOver[row]!, fenced[channel]!);
    }
    touched[channel] = Math.max(touched[channel]!, handOver[row]!);
    queue += channel * QUEUES;
    queueOf[row] = queue;
    if (tail[queue] === NO_ROW) head[queue] = row;
    else next[tail[queue]!] = row;
    tail[queue] = row;
  }
  return { queueOf, next, head, handOver, barrier: firstBarrier };
}
