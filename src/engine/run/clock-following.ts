import { ClockFollower, type FollowSink } from '../../core/follow/clock-follower.ts';
import { ClockInput, Follow, type LostClock } from '../../core/follow/follow-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { Op } from '../../core/schedule/command.ts';
import type { Scheduler } from '../../core/schedule/scheduler.ts';
import { Transport } from '../../core/schedule/transport-board.ts';

/** How a clock is followed; shared between threads. It comes from the input among `HearRequest.ears` that has it. */
export interface FollowRequest {
  /** Song time of each pulse (`clockMicrosOf`), in a SharedArrayBuffer. */
  readonly pulseMicros: Float64Array;
  readonly onLost: LostClock;
}

/** A run that follows a clock: messages in, the scheduler driven, the state shown. Allocates nothing for a message. */
export class ClockFollowing implements FollowSink {
  readonly #scheduler: Scheduler;
  readonly #times: Float64Array;
  readonly #numbers: Float64Array;
  readonly #follower: ClockFollower;
  /** One of `ClockInput`. */
  #input: number = ClockInput.there;

  constructor(
    { pulseMicros, onLost }: FollowRequest,
    startMicros: number,
    scheduler: Scheduler,
    numbers: Float64Array,
  ) {
    this.#scheduler = scheduler;
    this.#times = scheduler.times;
    this.#numbers = numbers;
    this.#follower = new ClockFollower({ pulseMicros, onLost, startMicros }, this);
  }

  /** The song stands until the clock moves it; where somebody still chooses a song, until that is done as well. */
  begin(isOut: boolean): void {
    this.#follower.isOut = isOut;
    this.#scheduler.follow(STAND_STILL);
    this.#show();
  }

  /**
   * An entry of an `InputFeed`; what a clock has nothing to do with goes by.
   * @param arrived register: run time (µs) at which it was there
   */
  heard(bytes: Uint8Array, arrived: Float64Array): void {
    const status = bytes[0]!;
    if (status < 0xf2) return;
    if (status === 0xf8) this.#numbers[Slot.followLastMicros] = arrived[0]!;
    this.#follower.message(status, bytes[1]!, bytes[2]!, arrived);
  }

  /** Something of it was left out. */
  cut(): void {
    this.#follower.break();
  }

  /** How its input is. @param input one of `ClockInput` */
  isNow(input: number): void {
    this.#input = input;
  }

  /** To be asked when all that is there by now was heard. */
  look(): void {
    this.#follower.look(this.#times);
    this.#show();
  }

  /** Brings `wake[0]` forward to when `look` must be called next. */
  nextLook(wake: Float64Array): void {
    wake[0] = Math.min(wake[0]!, this.#follower.lostAt[0]!);
  }

  /** Nothing can move the song any more: no message will come, and it stands. */
  get isOver(): boolean {
    if (this.#input !== ClockInput.ended || this.#follower.isOut) return false;
    if (this.#follower.state === Follow.armed) return true;
    const transport = this.#numbers[Slot.transport];
    return transport === Transport.stopped || transport === Transport.paused;
  }

  /**
   * A person's command. What would fight the clock is not obeyed; pause and stop let the clock go on without the music,
   * and play joins it again.
   * @returns whether this was all there is to do
   */
  obeys(op: number): boolean {
    switch (op) {
      case Op.play:
        this.#follower.join(this.#times);
        break;
      case Op.pause:
      case Op.stop:
        this.#follower.leave();
        break;
      case Op.seek:
      case Op.loop:
      case Op.loopOff:
      case Op.tempoScale:
        break;
      default:
        return false;
    }
    this.#show();
    return true;
  }

  pause(): void {
    this.#scheduler.apply(Op.pause, 0, 0);
  }

  play(): void {
    this.#scheduler.apply(Op.play, 0, 0);
  }

  seek(songMicros: number): void {
    this.#scheduler.apply(Op.seek, songMicros, 0);
  }

  follow(line: Float64Array): void {
    this.#scheduler.follow(line);
  }

  #show(): void {
    const n = this.#numbers;
    const { state, tracker, isOut, clocks, losses } = this.#follower;
    const input = this.#input;
    // Whoever looks is told by the revision that something changed.
    if (clocks !== n[Slot.followClocks] || state !== n[Slot.followState] || input !== n[Slot.followInput]) {
      n[Slot.revision]! += 1;
    }
    n[Slot.followState] = state;
    n[Slot.followPeriodMicros] = tracker.line[1]!;
    n[Slot.followInput] = input;
    n[Slot.followOut] = isOut ? 1 : 0;
    n[Slot.followClocks] = clocks;
    n[Slot.followLosses] = losses;
    n[Slot.followSpreadMicros] = tracker.spreadMicros;
  }
}

const STAND_STILL = new Float64Array(2);
