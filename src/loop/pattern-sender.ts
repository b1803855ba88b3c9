import { setTimeout as after } from 'node:timers/promises';
import type { LoopSending } from '../core/loop/loop-hearing.ts';
import type { LoopPattern } from '../core/loop/loop-pattern.ts';
import { DATA_BYTES } from '../core/midi/status.ts';
import { StreamParser } from '../core/midi/stream-parser.ts';
import { createObservedState } from '../core/observe/create-observed-state.ts';
import { foldMessage } from '../core/observe/fold-message.ts';
import { AT_LENGTH } from '../core/schedule/outlet.ts';
import { microsPerByte } from '../core/wire/wire-traits.ts';
import type { RunClock } from '../engine/clock/run-clock.ts';
import { silenceSeen } from '../engine/run/last-silence.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST } from '../ports/output-port.ts';

/**
 * Sends a pattern to a port and notes when the port took each piece. What sounds is known from the bytes that it took;
 * `silence`, which comes after `run` in any case, ends that.
 */
export class PatternSender {
  readonly #port: OutputPort;
  readonly #pattern: LoopPattern;
  readonly #clock: RunClock;
  readonly #handed: Float64Array;
  readonly #observed = createObservedState();
  readonly #at = new Float64Array(AT_LENGTH).fill(-1);
  readonly #parser = new StreamParser({
    message: (status, data1, data2) => foldMessage(this.#observed, status, data1, data2, this.#at),
    sysEx() {},
    fault() {},
  });
  readonly #byteMicros: number;
  #isLeaving = false;
  #isLost = false;
  #heldMicros = 0;

  constructor(port: OutputPort, pattern: LoopPattern, clock: RunClock) {
    this.#port = port;
    this.#pattern = pattern;
    this.#clock = clock;
    this.#handed = new Float64Array(pattern.steps.length).fill(Number.NaN);
    this.#byteMicros = microsPerByte(port.wire);
  }

  get sending(): LoopSending {
    return { handedMicros: this.#handed, heldMicros: this.#heldMicros, isLost: this.#isLost };
  }

  /** `run` ends as soon as it can. */
  leave(): void {
    this.#isLeaving = true;
  }

  /** Sends it all; ends early where the port is lost or `leave` was called. */
  async run(): Promise<void> {
    const { steps, bytes, start } = this.#pattern;
    let free = this.#clock.nowMicros();
    for (let step = 0; step < steps.length && !this.#isLeaving && !this.#isLost; step += 1) {
      const { restMicros, section } = steps[step]!;
      if (restMicros > 0) {
        await this.#until(Math.max(free, this.#clock.nowMicros()) + restMicros);
      } else if (section !== 'at-once' && this.#clock.nowMicros() < free - LEAD_MICROS) {
        // Far enough ahead that the wire never runs dry, and no further: drivers have small buffers.
        await this.#until(free - LEAD_MICROS / 2);
      }
      const length = start[step + 1]! - start[step]!;
      await this.#write(bytes, start[step]!, length, step);
      free = Math.max(free, this.#clock.nowMicros()) + length * this.#byteMicros;
    }
    await this.#until(free);
  }

  /**
   * Ends what sounds: a SysEx that is open, notes, bends, pedals. Waits for an output that went away, for a bounded time:
   * what it took last may never have left it, a note-off among it.
   */
  async silence(): Promise<void> {
    const limit = this.#clock.nowMicros() + DRAIN_LIMIT_MICROS;
    if (this.#isLost) {
      const until = this.#clock.nowMicros() + RETURN_MICROS;
      while (this.#port.revive?.() !== true) {
        if (this.#clock.nowMicros() > until) return;
        await after(RETRY_MS);
      }
    }
    const messages: number[][] = this.#parser.inSysEx && !this.#isLost ? [[0xf7]] : [];
    const note = (status: number, data1: number, data2: number): void =>
      void messages.push([status, data1, data2].slice(0, 1 + Math.max(0, DATA_BYTES[status]!)));
    silenceSeen(this.#observed, { message: note }, 0xffff, this.#clock.nowMicros());
    for (const message of messages) {
      while (this.#take(Uint8Array.from(message), 0, message.length) !== WRITE_DONE) {
        if (this.#clock.nowMicros() > limit) return;
        await after(1);
      }
    }
    while (!this.#port.flush() && this.#clock.nowMicros() < limit) await after(1);
  }

  /** Waits until the run time is `micros`, or `leave` was called. */
  async #until(micros: number): Promise<void> {
    for (;;) {
      const left = micros - this.#clock.nowMicros();
      if (left <= 0 || this.#isLeaving) return;
      await after(Math.max(0, Math.min(left / 1000 - 0.2, LONGEST_WAIT_MS)));
      this.#port.flush();
    }
  }

  async #write(bytes: Uint8Array, start: number, length: number, step: number): Promise<void> {
    const asked = this.#clock.nowMicros();
    while (!this.#isLeaving) {
      if (this.#port.gone?.() === true) {
        this.#isLost = true;
        return;
      }
      const now = this.#clock.nowMicros();
      const outcome = this.#take(bytes, start, length);
      if (outcome === WRITE_DONE) {
        this.#handed[step] = now;
        this.#heldMicros = Math.max(this.#heldMicros, now - asked);
        return;
      }
      if (outcome === WRITE_LOST) {
        this.#isLost = true;
        return;
      }
      await after(1);
    }
  }

  #take(bytes: Uint8Array, start: number, length: number): number {
    this.#at.fill(this.#clock.nowMicros());
    const outcome = this.#port.write(bytes, start, length, this.#at);
    if (outcome === WRITE_DONE) this.#parser.feed(bytes, start, start + length);
    return outcome;
  }
}

/** 78 bytes of a 31,250-baud wire: a timer that comes late by less leaves no gap. */
const LEAD_MICROS = 25_000;
const LONGEST_WAIT_MS = 20;
const RETRY_MS = 50;
/** As `EngineRun` waits for an output that is gone, and `startListener` for one that takes nothing. */
const RETURN_MICROS = 2_000_000;
const DRAIN_LIMIT_MICROS = 3_000_000;
