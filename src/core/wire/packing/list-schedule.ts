import { sharedF64, sharedU32 } from '../../timeline/shared-columns.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { rowBytes } from '../message-length.ts';
import { RunningStatus } from '../running-status.ts';
import { microsPerByte, type WireTraits } from '../wire-traits.ts';
import { ChordOrder } from './chord-order.ts';
import type { LatestStarts } from './latest-starts.ts';
import type { OnsetMoments } from './onset-moments.ts';
import type { PackOptions } from './pack-options.ts';
import { NO_ROW, RowKind, type RowRules } from './row-rules.ts';

const CHANNELS = 16;
/** Four queues a channel; the barriers' queue is the last of all. */
const NEEDED = 0;
const LOOSE = 1;
const FENCE = 2;
const ONSET = 3;
const QUEUES = 4;

/**
 * Walks through the song once and decides what the wire does next: the notes of a moment when it has come;
 * before that whatever may go, does fit, and is needed soonest; otherwise it rests.
 *
 * Each channel has its rows in four queues, in playing order: releases and repeats that a moment soon needs, the
 * other releases and repeats, fences, onsets. A fence goes when all heads of its channel lie behind it; anything else when it lies
 * before the fence. So the rules of order hold whatever is chosen.
 */
export class ListSchedule {
  readonly event: Uint32Array;
  readonly releaseMicros: Float64Array;
  readonly #columns: TimelineColumns;
  readonly #moments: OnsetMoments;
  readonly #rules: RowRules;
  readonly #starts: LatestStarts;
  readonly #byte: number;

  readonly #queueOf: Uint8Array;
  readonly #next: Uint32Array;
  readonly #head = new Uint32Array(CHANNELS * QUEUES).fill(NO_ROW);
  #barrier = NO_ROW;
  readonly #sent: Uint8Array;
  #count = 0;
  #moment = 0;
  #release = Number.NEGATIVE_INFINITY;

  readonly #running: RunningStatus;
  readonly #programs = new Uint8Array(CHANNELS);
  readonly #chords: ChordOrder;
  /** [0] the wire is free. */
  readonly #clock = new Float64Array(1);

  constructor(
    columns: TimelineColumns,
    moments: OnsetMoments,
    rules: RowRules,
    starts: LatestStarts,
    traits: WireTraits,
    options: Required<PackOptions>,
  ) {
    this.#columns = columns;
    this.#moments = moments;
    this.#rules = rules;
    this.#starts = starts;
    this.#byte = microsPerByte(traits);
    this.#running = new RunningStatus(traits.runningStatus);
    this.#chords = new ChordOrder(columns, rules.strictFrom);
    this.#clock[0] = 0 - options.leadInMicros;
    this.event = sharedU32(columns.count);
    this.releaseMicros = sharedF64(columns.count);
    this.#sent = new Uint8Array(columns.count);
    this.#queueOf = new Uint8Array(columns.count);
    this.#next = new Uint32Array(columns.count).fill(NO_ROW);
    this.#fillQueues();
    this.#run();
  }

  #fillQueues(): void {
    const { count, status } = this.#columns;
    const { kind } = this.#rules;
    const { handOver } = this.#starts;
    const tail = new Uint32Array(CHANNELS * QUEUES).fill(NO_ROW);
    const fenced = new Float64Array(CHANNELS).fill(Number.NEGATIVE_INFINITY);
    const touched = new Float64Array(CHANNELS).fill(Number.NEGATIVE_INFINITY);
    let lastBarrier = NO_ROW;
    for (let row = 0; row < count; row++) {
      if (kind[row] === RowKind.barrier) {
        for (let channel = 0; channel < CHANNELS; channel++) {
          handOver[row] = Math.max(handOver[row]!, touched[channel]!);
        }
        fenced.fill(handOver[row]!);
        touched.fill(handOver[row]!);
        if (lastBarrier === NO_ROW) this.#barrier = row;
        else this.#next[lastBarrier] = row;
        lastBarrier = row;
        continue;
      }
      const channel = status[row]! & 0x0f;
      let queue = ONSET;
      if (kind[row] === RowKind.fence) {
        queue = FENCE;
        handOver[row] = fenced[channel] = Math.max(handOver[row]!, touched[channel]!);
      } else if (kind[row] !== RowKind.onset) {
        queue = this.#starts.deadline[row]! < this.#starts.patience[row]! ? NEEDED : LOOSE;
        handOver[row] = Math.max(handOver[row]!, fenced[channel]!);
      }
      touched[channel] = Math.max(touched[channel]!, handOver[row]!);
      queue += channel * QUEUES;
      this.#queueOf[row] = queue;
      if (tail[queue] === NO_ROW) this.#head[queue] = row;
      else this.#next[tail[queue]!] = row;
      tail[queue] = row;
    }
  }

  #run(): void {
    const { count } = this.#columns;
    const { target, count: moments } = this.#moments;
    while (this.#count < count) {
      const due = this.#moment < moments ? target[this.#moment]! : Number.POSITIVE_INFINITY;
      const free = this.#clock[0]!;
      const row = this.#pick(Math.min(free, due), due);
      if (row !== NO_ROW) this.#send(row);
      else if (free >= due) this.#sendMoment();
      else this.#clock[0] = Math.min(due, this.#nextHandOver);
    }
  }

  /** Set by `pick`: when the first row comes that only has to wait for its time. */
  #nextHandOver = Number.POSITIVE_INFINITY;
  #bestRow = NO_ROW;
  readonly #bestDeadline = new Float64Array(1);

  /** What may go now and is needed soonest. When the moment has come, only what has waited long enough. */
  #pick(now: number, due: number): number {
    this.#nextHandOver = Number.POSITIVE_INFINITY;
    this.#bestRow = NO_ROW;
    this.#bestDeadline[0] = Number.POSITIVE_INFINITY;
    const head = this.#head;
    const barrier = this.#barrier;
    let first = NO_ROW;
    for (let channel = 0; channel < CHANNELS; channel++) {
      const queue = channel * QUEUES;
      const needed = head[queue + NEEDED]!;
      const loose = head[queue + LOOSE]!;
      const fence = head[queue + FENCE]!;
      const notes = Math.min(needed, loose, head[queue + ONSET]!);
      first = Math.min(first, notes, fence);
      if (fence < notes) {
        if (fence < barrier) this.#consider(fence, now, due);
        continue;
      }
      if (needed < fence && needed < barrier && this.#keyIsFree(needed)) this.#consider(needed, now, due);
      if (loose < fence && loose < barrier && this.#keyIsFree(loose)) this.#consider(loose, now, due);
    }
    if (barrier < first) this.#consider(barrier, now, due);
    return this.#bestRow;
  }

  #consider(row: number, now: number, due: number): void {
    const handOver = this.#starts.handOver[row]!;
    if (handOver > now) {
      if (handOver < this.#nextHandOver) this.#nextHandOver = handOver;
      return;
    }
    const free = this.#clock[0]!;
    const status = this.#columns.status[row]!;
    const heldByte = status === this.#running.held ? this.#byte : 0;
    const need = this.#starts.need[row]!;
    if (this.#starts.patience[row]! > free) {
      if (now >= due) return;
      if (need !== this.#moment && now + this.#starts.cost[row]! - heldByte > due) return;
    }
    const deadline = this.#starts.deadline[row]! - 3 * heldByte;
    if (deadline < this.#bestDeadline[0]! || (deadline === this.#bestDeadline[0] && row < this.#bestRow)) {
      this.#bestDeadline[0] = deadline;
      this.#bestRow = row;
    }
  }

  /** The message before this one on its key is out. */
  #keyIsFree(row: number): boolean {
    const before = this.#rules.sameKey[row]!;
    return before === NO_ROW || this.#sent[before] === 1;
  }

  #isReady(row: number): boolean {
    const channel = this.#columns.status[row]! & 0x0f;
    return row < this.#barrier && row < this.#head[channel * QUEUES + FENCE]! && this.#keyIsFree(row);
  }

  /** The notes of the moment that has come: first those that wait for nothing, then the rest. */
  #sendMoment(): void {
    const { rows, first } = this.#moments;
    const from = first[this.#moment]!;
    const to = first[this.#moment + 1]!;
    if (to - from > 1) this.#chords.sort(rows, from, to, this.#programs, this.#running.held);
    let left = 0;
    for (let i = from; i < to; i++) {
      if (this.#isReady(rows[i]!)) this.#send(rows[i]!);
      else left++;
    }
    if (left > 0) {
      let group = from;
      for (let i = from; i < to; i++) {
        const channel = this.#columns.status[rows[i]!]! & 0x0f;
        if (this.#sent[rows[i]!] === 0) this.#sendBefore(rows[i]!);
        const isLast = i + 1 === to || (this.#columns.status[rows[i + 1]!]! & 0x0f) !== channel;
        if (!isLast) continue;
        for (; group <= i; group++) if (this.#sent[rows[group]!] === 0) this.#send(rows[group]!);
      }
    }
    this.#moment++;
  }

  /** Sends all that must be out before this note-on. */
  #sendBefore(row: number): void {
    while (this.#barrier < row) {
      const barrier = this.#barrier;
      for (let channel = 0; channel < CHANNELS; channel++) this.#sendChannel(channel, barrier);
      this.#send(barrier);
    }
    const channel = this.#columns.status[row]! & 0x0f;
    for (;;) {
      const fence = this.#head[channel * QUEUES + FENCE]!;
      if (fence > row) break;
      this.#sendChannel(channel, fence);
      this.#send(fence);
    }
    const chain: number[] = [];
    for (
      let before = this.#rules.sameKey[row]!;
      before !== NO_ROW && this.#sent[before] === 0;
      before = this.#rules.sameKey[before]!
    ) {
      chain.push(before);
    }
    while (chain.length > 0) this.#send(chain.pop()!);
  }

  /** Sends the channel's rows before `end`, in playing order. */
  #sendChannel(channel: number, end: number): void {
    const head = this.#head;
    const queue = channel * QUEUES;
    for (;;) {
      const row = Math.min(head[queue]!, head[queue + 1]!, head[queue + 2]!, head[queue + 3]!);
      if (row >= end) return;
      this.#send(row);
    }
  }

  #send(row: number): void {
    const due =
      this.#moment < this.#moments.count ? this.#moments.target[this.#moment]! : Number.POSITIVE_INFINITY;
    const status = this.#columns.status[row]!;
    let time = this.#starts.cost[row]!;
    if (time > 0) {
      const length = rowBytes(this.#columns, row);
      if (this.#running.send(status, length, this.#clock, 0) < length) time -= this.#byte;
    }
    this.#clock[0]! += time;
    this.#sent[row] = 1;
    this.event[this.#count] = row;
    this.#release = Math.max(this.#release, Math.min(this.#starts.handOver[row]!, due));
    this.releaseMicros[this.#count] = this.#release;
    this.#count++;
    if (status >= 0xf0) {
      this.#barrier = this.#next[row]!;
      return;
    }
    if ((status & 0xf0) === 0xc0) this.#programs[status & 0x0f] = this.#columns.data1[row]!;
    const queue = this.#queueOf[row]!;
    let head = this.#head[queue]!;
    while (head !== NO_ROW && this.#sent[head] === 1) head = this.#next[head]!;
    this.#head[queue] = head;
  }
}
