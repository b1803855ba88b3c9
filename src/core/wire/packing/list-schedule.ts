// Length: one decision loop; every step reads and moves the same clock, queues and running status.
import { sharedF64, sharedU32 } from '../../timeline/shared-columns.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { RunningStatus } from '../running-status.ts';
import { microsPerByte, type WireTraits } from '../wire-traits.ts';
import { CHANNELS, channelQueuesOf, FENCE, LOOSE, NEEDED, ONSET, QUEUES } from './channel-queues.ts';
import { ChordOrder } from './chord-order.ts';
import { type LatestStarts, patienceOf } from './latest-starts.ts';
import type { MessageCosts } from './message-costs.ts';
import type { OnsetMoments } from './onset-moments.ts';
import type { PackOptions } from './pack-options.ts';
import { NO_ROW, type RowRules } from './row-rules.ts';

/** Rows that may be chosen from: two of each channel, and the barrier. */
const CHOICES = 2 * CHANNELS + 1;
const ALL_CHANNELS = 0xffff;

/**
 * Walks through the song once and decides what the wire does next: the notes of a moment when it has come;
 * before that whatever may go, does fit, and is needed soonest; otherwise it rests.
 *
 * A fence goes when all heads of its channel's queues lie behind it; anything else when it lies before the fence.
 * So the rules of order hold whatever is chosen.
 */
export class ListSchedule {
  readonly event: Uint32Array;
  readonly releaseMicros: Float64Array;
  readonly #columns: TimelineColumns;
  readonly #moments: OnsetMoments;
  readonly #rules: RowRules;
  readonly #starts: LatestStarts;
  readonly #costs: MessageCosts;
  readonly #yieldMicros: number;
  readonly #byte: number;

  readonly #queueOf: Uint8Array;
  readonly #next: Uint32Array;
  readonly #head: Uint32Array;
  readonly #handOver: Float64Array;
  #barrier: number;
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
    costs: MessageCosts,
    traits: WireTraits,
    options: Required<PackOptions>,
  ) {
    this.#columns = columns;
    this.#moments = moments;
    this.#rules = rules;
    this.#starts = starts;
    this.#costs = costs;
    this.#yieldMicros = options.yieldMicros;
    this.#byte = microsPerByte(traits);
    this.#running = new RunningStatus(traits.runningStatus);
    this.#chords = new ChordOrder(columns, rules.strictFrom, options.drumChannels);
    this.#clock[0] = 0 - options.leadInMicros;
    this.event = sharedU32(columns.count);
    this.releaseMicros = sharedF64(columns.count);
    this.#sent = new Uint8Array(columns.count);
    const queues = channelQueuesOf(columns, rules, starts, (row) => this.#patienceOf(row));
    this.#queueOf = queues.queueOf;
    this.#next = queues.next;
    this.#head = queues.head;
    this.#handOver = queues.handOver;
    this.#barrier = queues.barrier;
    this.#renewChanged();
    this.#places = this.#usedPlaces();
    this.#run();
  }

  /** The song's channels have two places each; SysEx has one. */
  #usedPlaces(): Uint8Array {
    const used = Array.from(this.#first).flatMap((row, channel) =>
      row === NO_ROW ? [] : [channel * 2, channel * 2 + 1],
    );
    if (this.#barrier !== NO_ROW) used.push(CHOICES - 1);
    return Uint8Array.from(used);
  }

  #run(): void {
    const { count } = this.#columns;
    while (this.#count < count) {
      const due = this.#due();
      const free = this.#clock[0]!;
      const row = this.#pick(Math.min(free, due), due);
      if (row !== NO_ROW) this.#send(row);
      else if (free >= due) this.#sendMoment();
      else this.#clock[0] = Math.min(due, this.#nextHandOver[0]!);
    }
  }

  /** When the notes come that are next. */
  #due(): number {
    const { target, count } = this.#moments;
    return this.#moment < count ? target[this.#moment]! : Number.POSITIVE_INFINITY;
  }

  /** When the first choice comes that only has to wait for its time. */
  readonly #nextHandOver = new Float64Array([Number.POSITIVE_INFINITY]);
  /** No choice has its time before this: until then there is nothing to look through. */
  readonly #soonest = new Float64Array([Number.POSITIVE_INFINITY]);
  /** Bit c: rows of channel c went since its choices were looked at. */
  #changed = ALL_CHANNELS;
  /** Places of the choices that this song can have at all. */
  readonly #places: Uint8Array;
  /** For each channel its first row, and up to two rows that may go next (place 32: the barrier), with their times. */
  readonly #first = new Uint32Array(CHANNELS).fill(NO_ROW);
  readonly #choices = new Uint32Array(CHOICES).fill(NO_ROW);
  readonly #choiceMicros = new Float64Array(CHOICES).fill(Number.POSITIVE_INFINITY);

  /** What may go now and is needed soonest. When the moment has come, only what has waited long enough. */
  #pick(now: number, due: number): number {
    if (this.#changed !== 0) this.#renewChanged();
    if (now < this.#soonest[0]!) {
      this.#nextHandOver[0] = this.#soonest[0]!;
      return NO_ROW;
    }
    const choices = this.#choices;
    const times = this.#choiceMicros;
    let next = Number.POSITIVE_INFINITY;
    let best = NO_ROW;
    let bestDeadline = Number.POSITIVE_INFINITY;
    let ripe = 0;
    const places = this.#places;
    for (let i = 0; i < places.length; i += 1) {
      const place = places[i]!;
      const time = times[place]!;
      if (time > now) {
        if (time < next) next = time;
        continue;
      }
      ripe += 1;
      const row = choices[place]!;
      const heldByte = this.#columns.status[row] === this.#running.held ? this.#byte : 0;
      if (!this.#mayGo(row, now, due, heldByte)) continue;
      const deadline = this.#starts.deadline[row]! - 3 * heldByte;
      if (deadline < bestDeadline || (deadline === bestDeadline && row < best)) {
        bestDeadline = deadline;
        best = row;
      }
    }
    // The row taken makes room for another, whose time `choose` will note.
    this.#soonest[0] = ripe > (best === NO_ROW ? 0 : 1) ? Number.NEGATIVE_INFINITY : next;
    this.#nextHandOver[0] = next;
    return best;
  }

  /** Until then a row gives way to note-ons. */
  #patienceOf(row: number): number {
    return this.#columns.micros[row]! + patienceOf(this.#rules.kind[row]!, this.#yieldMicros);
  }

  #mayGo(row: number, now: number, due: number, heldByte: number): boolean {
    if (this.#patienceOf(row) <= this.#clock[0]!) return true;
    if (now >= due) return false;
    return this.#starts.need[row] === this.#moment || now + this.#costs.at(row) - heldByte <= due;
  }

  #renewChanged(): void {
    for (let left = this.#changed; left !== 0; left &= left - 1) this.#renew(31 - Math.clz32(left & -left));
    this.#changed = 0;
    if (this.#barrier !== NO_ROW || this.#choices[CHOICES - 1] !== NO_ROW) this.#renewBarrier();
  }

  /** After a row of the channel went: what of it may go next. */
  #renew(channel: number): void {
    const head = this.#head;
    const barrier = this.#barrier;
    const queue = channel * QUEUES;
    const needed = head[queue + NEEDED]!;
    const loose = head[queue + LOOSE]!;
    const fence = head[queue + FENCE]!;
    const notes = Math.min(needed, loose, head[queue + ONSET]!);
    this.#first[channel] = Math.min(notes, fence);
    if (fence < notes) {
      this.#choose(channel * 2, fence < barrier ? fence : NO_ROW);
      this.#choose(channel * 2 + 1, NO_ROW);
    } else {
      const end = Math.min(fence, barrier);
      this.#choose(channel * 2, needed < end && this.#keyIsFree(needed) ? needed : NO_ROW);
      this.#choose(channel * 2 + 1, loose < end && this.#keyIsFree(loose) ? loose : NO_ROW);
    }
  }

  /** The barrier goes when nothing of any channel lies before it. */
  #renewBarrier(): void {
    const barrier = this.#barrier;
    const isFirst = barrier !== NO_ROW && this.#first.every((row) => row > barrier);
    this.#choose(CHOICES - 1, isFirst ? this.#barrier : NO_ROW);
  }

  #choose(place: number, row: number): void {
    this.#choices[place] = row;
    const time = row === NO_ROW ? Number.POSITIVE_INFINITY : this.#handOver[row]!;
    this.#choiceMicros[place] = time;
    if (time < this.#soonest[0]!) this.#soonest[0] = time;
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
    for (let i = from; i < to; i += 1) {
      if (this.#isReady(rows[i]!)) this.#send(rows[i]!);
      else left += 1;
    }
    if (left > 0) {
      let group = from;
      for (let i = from; i < to; i += 1) {
        const channel = this.#columns.status[rows[i]!]! & 0x0f;
        if (this.#sent[rows[i]!] === 0) this.#sendBefore(rows[i]!);
        const isLast = i + 1 === to || (this.#columns.status[rows[i + 1]!]! & 0x0f) !== channel;
        if (!isLast) continue;
        for (; group <= i; group += 1) if (this.#sent[rows[group]!] === 0) this.#send(rows[group]!);
      }
    }
    this.#moment += 1;
  }

  /** Sends all that must be out before this note-on. */
  #sendBefore(row: number): void {
    while (this.#barrier < row) {
      const barrier = this.#barrier;
      for (let channel = 0; channel < CHANNELS; channel += 1) this.#sendChannel(channel, barrier);
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
    const due = this.#due();
    const status = this.#columns.status[row]!;
    let time = this.#costs.at(row);
    if (time > 0) {
      // Whole or one byte less: how many bytes there are does not matter here.
      if (this.#running.send(status, 3, this.#clock, 0) < 3) time -= this.#byte;
    }
    this.#clock[0]! += time;
    this.#sent[row] = 1;
    this.event[this.#count] = row;
    this.#release = Math.max(this.#release, Math.min(this.#handOver[row]!, due));
    this.releaseMicros[this.#count] = this.#release;
    this.#count += 1;
    if (status >= 0xf0) {
      this.#barrier = this.#next[row]!;
      this.#changed = ALL_CHANNELS;
      return;
    }
    if ((status & 0xf0) === 0xc0) this.#programs[status & 0x0f] = this.#columns.data1[row]!;
    const queue = this.#queueOf[row]!;
    let head = this.#head[queue]!;
    while (head !== NO_ROW && this.#sent[head] === 1) head = this.#next[head]!;
    this.#head[queue] = head;
    this.#changed |= 1 << (status & 0x0f);
  }
}
