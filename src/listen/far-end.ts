import type { Outlet } from '../core/schedule/outlet.ts';
import { ReceiverMemory } from '../core/schedule/receiver-memory.ts';
import type { ChaseSink } from '../core/schedule/sender.ts';

/** The receiver that a pass-through sends to, and what it holds after all that was sent. */
export class FarEnd implements ChaseSink {
  readonly memory = new ReceiverMemory();

  readonly #outlet: Pick<Outlet, 'message'>;
  readonly #now: Float64Array;

  /** @param now register for messages that bring none of their own (see `At`) */
  constructor(outlet: Pick<Outlet, 'message'>, now: Float64Array) {
    this.#outlet = outlet;
    this.#now = now;
  }

  message(status: number, data1: number, data2: number, at: Float64Array = this.#now): void {
    this.#outlet.message(status, data1, data2, at);
    if (status < 0xf0) this.memory.fold(status, data1, data2);
  }
}
