import type { Playback } from './playback.ts';
import { restoreChannels } from './restore.ts';
import { TransportSlot } from './transport-board.ts';
import { VisitorInput } from './visitor.ts';

/** How what somebody plays along gets into a run (see `Visitor`). Once all is silent for good they are not heard. */
export class Visits {
  readonly #p: Playback;

  constructor(p: Playback) {
    this.#p = p;
  }

  /**
   * Bytes of theirs.
   * @param arrived register: run time at which the bytes were there
   */
  bytes(bytes: Uint8Array, count: number, arrived: Float64Array): void {
    if (!this.#p.finished) this.#p.visitor?.hear(bytes, count, arrived);
  }

  /** Word of their keyboard. @param what one of `VisitorInput` */
  input(what: number): void {
    this.#p.board.numbers[TransportSlot.visitorInput] = what;
    if (what !== VisitorInput.there) this.#letGo();
  }

  /** Something of theirs was left out, note-offs perhaps. */
  cut(): void {
    this.#letGo();
  }

  /** Lets them go when their keyboard has fallen silent. */
  look(): void {
    if (this.#p.visitor?.sensingExpired() === true) this.#letGo();
  }

  /** Lowers `into[0]` to the run time of the next `look`. */
  next(into: Float64Array): void {
    if (!this.#p.finished) this.#p.visitor?.nextLook(into);
  }

  /** What they moved is then as the song wants it. */
  #letGo(): void {
    const p = this.#p;
    if (p.visitor === undefined || p.finished) return;
    p.visitor.leave();
    p.sender.stampNow();
    if (p.running) restoreChannels(p, p.visitor.played & ~p.visitor.own);
  }
}
