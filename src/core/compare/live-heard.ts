import { CarriedState } from './carried-state.ts';
import { HeardEvents } from './heard-events.ts';
import { HeardFold } from './heard-fold.ts';
import type { HeardMusic } from './heard-music.ts';
import { HeardStream } from './heard-stream.ts';
import type { ToldKind } from './log-remarks.ts';
import { StandstillList, type Standstills } from './standstills.ts';

/** How much is held at once; `LIVE_DEFAULTS` but in tests. */
export interface LiveLimits {
  /** Notes from which on what lies behind is judged for good, but for a third of them. */
  readonly settleNotes: number;
  /** Messages up to which all are kept, so that the whole can be judged in one at the end. */
  readonly keptMessages: number;
}

/** Some minutes of music; a day of it (30 MB). */
export const LIVE_DEFAULTS: LiveLimits = { settleNotes: 3000, keptMessages: 2_000_000 };
const MESSAGES_A_NOTE = 20; // bends come by the dozen, faults of a noisy line without any note

/** What is heard, as it grows: what is settled of it, and the rest, which begins with what is set by then. */
export class LiveHeard {
  readonly #events = new HeardEvents();
  readonly #stream = new HeardStream(true, this.#events);
  readonly #carried = new CarriedState();
  readonly #standstills = new StandstillList();
  /** First message that is not settled, and bytes before that. */
  #from = 0;
  #fromBytes = 0;
  /** First message that is still kept. */
  #forgotten = 0;

  /** @param micros when the first of these bytes began */
  feed(bytes: Uint8Array, micros: number): void {
    this.#stream.feed(bytes, micros);
  }

  /** What somebody else saw, as a log's remark tells it. */
  told(kind: ToldKind): void {
    this.#stream.told(kind);
  }

  stoodStill(fromMicros: number, toMicros: number): void {
    this.#standstills.add(fromMicros, toMicros);
  }

  get standstills(): Standstills {
    return this.#standstills.all();
  }

  /** Messages that are there, and those that are not settled. */
  get count(): number {
    return this.#events.count;
  }

  get unsettled(): number {
    return this.#events.count - this.#from;
  }

  get held(): number {
    return this.#events.count - this.#forgotten;
  }

  /** So many messages would take as much room as all that came. */
  get room(): number {
    return this.#events.roomFrom(0);
  }

  /** When the last message came; 0 for none. */
  get lastMicros(): number {
    return this.count === 0 ? 0 : this.#events.microsAt(this.count - 1);
  }

  /** Nothing more comes. */
  finish(): void {
    this.#stream.finish();
  }

  /** All of it, from the beginning; undefined where that is not kept. */
  all(): HeardMusic | undefined {
    if (this.#forgotten > 0) return undefined;
    const fold = new HeardFold();
    this.#events.replay(0, this.count, fold);
    return fold.music(true, this.#stream.bytes, this.#stream.isTorn, this.#standstills.all());
  }

  /** What is not settled, up to a message. */
  rest(end = this.count): HeardMusic {
    const fold = new HeardFold();
    this.#carried.begin(fold);
    this.#events.replay(this.#from, end, fold);
    const micros = (place: number, none: number) =>
      place > 0 && place < this.count ? this.#events.microsAt(place) : none;
    const standstills = this.#standstills.between(micros(this.#from, -Infinity), micros(end, Infinity));
    const isTorn = this.#from === 0 && this.#stream.isTorn;
    return fold.music(true, this.#stream.bytes - this.#fromBytes, isTorn, standstills);
  }

  /** Whether more is not settled than so many notes, or messages of any kind. */
  isMuch({ on }: HeardMusic, notes: number): boolean {
    return on.count > notes || this.#events.roomFrom(this.#from) > MESSAGES_A_NOTE * notes;
  }

  /** The first message that is not settled and came after a moment. */
  firstAfter(micros: number): number {
    let place = this.#from;
    while (place < this.count && this.#events.microsAt(place) <= micros) place += 1;
    return place;
  }

  /** The message halfway through what is not settled. */
  halfway(): number {
    return this.#from + (this.unsettled >> 1);
  }

  /** The song is over: it owes nothing to the next. */
  startOver(): void {
    this.#carried.forgetSysEx();
  }

  /** What is before a message is settled. @param keptMessages so many are kept all the same */
  settle(end: number, keptMessages: number): void {
    const { bytes } = this.#stream;
    this.#fromBytes += Math.round(
      ((bytes - this.#fromBytes) * (end - this.#from)) / Math.max(1, this.unsettled),
    );
    this.#events.replay(this.#from, end, this.#carried);
    this.#from = end;
    if (this.room <= keptMessages) return;
    this.#events.forget(end);
    this.#forgotten = end;
  }
}
