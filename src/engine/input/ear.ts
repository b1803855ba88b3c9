import type { InputFeed } from './input-feed.ts';
import { InputRing } from './input-ring.ts';
import { type InputScript, ScriptedInput } from './scripted-input.ts';

/** What an input is listened to for; one machine may send its clock and be played on. */
export interface EarUse {
  /** Its clock moves the song. */
  readonly clock: boolean;
  /** Somebody plays along on it. */
  readonly visitor: boolean;
}

/** An input that is open, as a run on any thread is told of it: heard in a thread, or known beforehand. */
export interface EarRequest extends EarUse {
  /** As `openInput` reads it. */
  readonly spec: string;
  /** `KeptInput.link`, with which an output to the same device shares the keeper. */
  readonly link?: SharedArrayBuffer | undefined;
  /** Of an `InputRing`. */
  readonly ring?: SharedArrayBuffer;
  readonly script?: InputScript;
}

/** All that a run hears. */
export interface HearRequest {
  /** Of the `Wake` that the sending thread is to sleep on; left out where nothing comes by itself. */
  readonly wake?: SharedArrayBuffer;
  readonly ears: readonly EarRequest[];
}

/** An input as a run hears it. */
export interface Ear extends EarUse {
  readonly feed: InputFeed;
}

export function earsOf(request: HearRequest | undefined): Ear[] {
  return (request?.ears ?? []).map(({ clock, visitor, ring, script }) => ({
    clock,
    visitor,
    feed: ring === undefined ? new ScriptedInput(script) : new InputRing(ring),
  }));
}
