import { ClockInput } from '../../core/follow/follow-state.ts';
import { VisitorInput } from '../../core/schedule/visitor.ts';
import type { Visits } from '../../core/schedule/visits.ts';
import type { Ear } from '../input/ear.ts';
import { Fed } from '../input/input-feed.ts';
import type { ClockFollowing } from './clock-following.ts';

/** All that a run hears: each input is taken once, and handed to whoever it is for. Allocates nothing for an entry. */
export class Hearing {
  readonly #ears: readonly Ear[];
  readonly #visits: Visits;
  readonly #following: ClockFollowing | undefined;

  constructor(ears: readonly Ear[], visits: Visits, following: ClockFollowing | undefined) {
    this.#ears = ears;
    this.#visits = visits;
    this.#following = following;
  }

  /** Says how the inputs are, as earlier runs have left them. */
  begin(): void {
    for (const { feed, clock, visitor } of this.#ears) {
      if (feed.input !== Fed.nothing) this.#tell(feed.input, clock, visitor);
    }
  }

  /**
   * Takes what is there by now. Notes of people first.
   * @param now register: run time
   */
  hear(now: Float64Array): void {
    const following = this.#following;
    for (let i = 0; i < this.#ears.length; i += 1) {
      const { feed, clock, visitor } = this.#ears[i]!;
      for (let fed = feed.take(now); fed !== Fed.nothing; fed = feed.take(now)) {
        if (fed !== Fed.bytes) this.#tell(fed, clock, visitor);
        else {
          if (visitor) this.#visits.bytes(feed.bytes, feed.count, feed.arrivedMicros);
          if (clock) following?.heard(feed.bytes, feed.arrivedMicros);
        }
      }
    }
    following?.look();
  }

  /** Brings `wake[0]` forward to when `hear` must be called next. */
  next(wake: Float64Array): void {
    for (let i = 0; i < this.#ears.length; i += 1) this.#ears[i]!.feed.next(wake);
    this.#following?.nextLook(wake);
  }

  #tell(fed: number, clock: boolean, visitor: boolean): void {
    if (fed === Fed.cut) {
      if (visitor) this.#visits.cut();
      if (clock) this.#following?.cut();
      return;
    }
    if (visitor) this.#visits.input(VISITOR_INPUT[fed]!);
    if (clock) this.#following?.isNow(CLOCK_INPUT[fed]!);
  }
}

/** By `Fed`: what it means for whoever plays along, and for a clock. */
const VISITOR_INPUT = [-1, VisitorInput.gone, VisitorInput.there, VisitorInput.ended] as const;
const CLOCK_INPUT = [-1, ClockInput.lost, ClockInput.there, ClockInput.ended] as const;
