import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import type { ObservedState } from '../../src/core/observe/observed-state.ts';
import { type Command, encodeCommand } from '../../src/core/schedule/command.ts';
import { At, type Outlet } from '../../src/core/schedule/outlet.ts';
import { Scheduler } from '../../src/core/schedule/scheduler.ts';
import type { SchedulerOptions } from '../../src/core/schedule/scheduler-options.ts';
import { Time } from '../../src/core/schedule/scheduler-times.ts';
import type { SendPlan } from '../../src/core/wire/send-plan.ts';

/** One message as it left the scheduler. */
export interface Sent {
  /** Run time of the handing over, and the moments in the register, in microseconds. */
  readonly now: number;
  readonly due: number;
  readonly song: number;
  readonly release: number;
  readonly bytes: readonly number[];
  /** When its last byte is through a 31,250-baud wire without running status. */
  readonly through: number;
}

/** An outlet that writes everything down, behind a wire of 320 µs a byte. */
export class RecordingOutlet implements Outlet {
  readonly sent: Sent[] = [];
  readonly held: number[] = [];
  #free = 0;
  times: Float64Array | undefined;

  message(status: number, data1: number, data2: number, at: Float64Array): void {
    const length = status >= 0xf4 ? 1 : (status & 0xe0) === 0xc0 ? 2 : 3;
    this.#note([status, data1, data2].slice(0, length), at);
  }

  payload(status: number, bytes: Uint8Array, start: number, length: number, at: Float64Array): void {
    const data = [...bytes.subarray(start, start + length)];
    this.#note(status === 0xf0 ? [0xf0, ...data] : data, at);
  }

  heldBack(channel: number): void {
    this.held.push(channel);
  }

  /** Everything has gone out at once: nothing waits. */
  withdraw(): void {}

  dropOthers(): void {}

  wireFree(into: Float64Array): void {
    into[0] = this.#free;
  }

  bytes(): number[] {
    return this.sent.flatMap(({ bytes }) => bytes);
  }

  #note(bytes: number[], at: Float64Array): void {
    const now = this.times?.[Time.now] ?? 0;
    this.#free = Math.max(this.#free, now) + bytes.length * 320;
    this.sent.push({
      now,
      due: at[At.dueMicros]!,
      song: at[At.songMicros]!,
      release: at[At.releaseMicros]!,
      bytes,
      through: this.#free,
    });
  }
}

export type RunOptions = Partial<Omit<SchedulerOptions, 'plan' | 'outlet' | 'board'>>;

/** A scheduler on virtual time: time jumps from wake to wake, so an hour of music takes milliseconds. */
export class VirtualRun {
  readonly outlet = new RecordingOutlet();
  readonly observed: ObservedState = createObservedState();
  readonly scheduler: Scheduler;
  #steps = 0;

  constructor(plan: SendPlan, options: RunOptions = {}) {
    const last = plan.columns.count > 0 ? plan.columns.micros[plan.columns.count - 1]! : 0;
    this.scheduler = new Scheduler({
      durationMicros: last,
      ...options,
      plan,
      outlet: this.outlet,
      board: this.observed,
    });
    this.outlet.times = this.scheduler.times;
  }

  get now(): number {
    return this.scheduler.times[Time.now]!;
  }

  get sent(): readonly Sent[] {
    return this.outlet.sent;
  }

  send(command: Command): this {
    this.scheduler.apply(...encodeCommand(command));
    return this;
  }

  /** Song time at run time 0 and song µs a run µs, as a clock that is followed gives them. */
  follow(songAtZero: number, scale: number): this {
    this.scheduler.follow(Float64Array.of(songAtZero, scale));
    return this;
  }

  /** Lets time pass to a run time, waking the scheduler whenever it asked for it. */
  to(micros: number): this {
    const { times } = this.scheduler;
    while (times[Time.wake]! <= micros) this.#wake();
    times[Time.now] = micros;
    this.scheduler.advance();
    return this;
  }

  /** Runs until the scheduler has finished, or has nothing more to do. */
  toEnd(): this {
    const { times } = this.scheduler;
    while (!this.scheduler.finished && times[Time.wake]! < Infinity) this.#wake();
    return this;
  }

  /** Jumps over every wake in between: the driver was held up. */
  stallTo(micros: number): this {
    this.scheduler.times[Time.now] = micros;
    this.scheduler.advance();
    return this;
  }

  #wake(): void {
    const { times } = this.scheduler;
    this.#steps += 1;
    if (this.#steps > 20_000_000) throw new Error('the scheduler does not come to an end');
    times[Time.now] = Math.max(times[Time.now]!, times[Time.wake]!);
    this.scheduler.advance();
  }
}
