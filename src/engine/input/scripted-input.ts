import { setImmediate as turn } from 'node:timers/promises';
import { openInput } from '../../ports/open-input.ts';
import { VirtualClock } from '../clock/virtual-clock.ts';
import { FED_BYTES, Fed, type InputFeed } from './input-feed.ts';
import { MessageStamper } from './message-stamper.ts';

/** Something that is fed, with the run time at which it comes. */
interface Entry {
  readonly micros: number;
  readonly what: number;
  readonly bytes: Uint8Array;
}

/** An input that is known before it is played; each run hears it from its beginning. */
export type InputScript = readonly Entry[];

/** An input that is known before it is played: each entry comes at its own run time, on whatever clock. */
export class ScriptedInput implements InputFeed {
  readonly bytes = new Uint8Array(FED_BYTES);
  count = 0;
  readonly arrivedMicros = new Float64Array(1);
  input: number = Fed.nothing;
  readonly #entries: Entry[];
  #next = 0;

  constructor(script: InputScript = []) {
    this.#entries = [...script];
  }

  get script(): InputScript {
    return this.#entries;
  }

  /** Comes behind all that was added before. Whoever hears a clock wants whole messages. */
  add(micros: number, bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length; at += FED_BYTES)
      this.#entries.push({ micros, what: Fed.bytes, bytes: bytes.slice(at, at + FED_BYTES) });
  }

  /** @param what one of `Fed` */
  tell(micros: number, what: number): void {
    this.#entries.push({ micros, what, bytes: new Uint8Array(0) });
  }

  take(now: Float64Array): number {
    const entry = this.#entries[this.#next];
    if (entry === undefined || entry.micros > now[0]!) return Fed.nothing;
    this.#next += 1;
    this.arrivedMicros[0] = entry.micros;
    this.count = entry.bytes.length;
    this.bytes.set(entry.bytes);
    if (entry.what !== Fed.bytes && entry.what !== Fed.cut) this.input = entry.what;
    return entry.what;
  }

  /** Its times are run times. */
  begin(): void {}

  next(into: Float64Array): void {
    const entry = this.#entries[this.#next];
    if (entry !== undefined && entry.micros < into[0]!) into[0] = entry.micros;
  }
}

/**
 * Reads an input to its end, for a clock that jumps: only one that has its times with it (`file:`) makes sense there.
 * @throws Refusal when it cannot be opened
 */
export async function scriptOf(spec: string): Promise<InputScript> {
  const written = new ScriptedInput();
  const clock = new VirtualClock();
  const input = await openInput(spec, { clock, waitForDevice: false, pace: 'at-once' });
  const stamper = new MessageStamper(input, (bytes, length, micros) =>
    written.add(micros, bytes.subarray(0, length)),
  );
  let latest = 0;
  await new Promise<void>((resolve) => {
    input.start({
      bytes: (chunk, arrivedMicros) => {
        latest = arrivedMicros;
        stamper.bytes(chunk, arrivedMicros);
      },
      lost: () => written.tell(latest, Fed.lost),
      back: () => written.tell(latest, Fed.back),
      ended: () => resolve(),
    });
  });
  written.tell(latest, Fed.ended);
  await turn();
  await input.close();
  return written.script;
}
