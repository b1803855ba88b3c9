import { setImmediate as turn } from 'node:timers/promises';
import { openInput } from '../../ports/open-input.ts';
import { VirtualClock } from '../clock/virtual-clock.ts';
import { FED_BYTES, Fed, type InputFeed } from './input-feed.ts';

/** Something that was fed, with the run time at which it comes. */
interface Entry {
  readonly micros: number;
  readonly what: number;
  readonly bytes: Uint8Array;
}

/** An input that is known before it is played: each entry comes at its own run time, on whatever clock. */
export class ScriptedInput implements InputFeed {
  readonly bytes = new Uint8Array(FED_BYTES);
  count = 0;
  readonly arrivedMicros = new Float64Array(1);
  readonly #entries: Entry[] = [];
  #next = 0;

  /** Comes behind all that was added before. */
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
    return entry.what;
  }

  next(into: Float64Array): void {
    const entry = this.#entries[this.#next];
    if (entry !== undefined && entry.micros < into[0]!) into[0] = entry.micros;
  }
}

/**
 * Reads an input to its end, for a clock that jumps: only one that has its times with it (`file:`) makes sense there.
 * @throws Refusal when it cannot be opened
 */
export async function scriptOf(spec: string): Promise<ScriptedInput> {
  const script = new ScriptedInput();
  const clock = new VirtualClock();
  const input = await openInput(spec, { clock, waitForDevice: false, pace: 'at-once' });
  let latest = 0;
  await new Promise<void>((resolve) => {
    input.start({
      bytes: (chunk, arrivedMicros) => {
        latest = arrivedMicros;
        script.add(arrivedMicros, chunk);
      },
      lost: () => script.tell(latest, Fed.lost),
      back: () => script.tell(latest, Fed.back),
      ended: () => resolve(),
    });
  });
  script.tell(latest, Fed.ended);
  await turn();
  await input.close();
  return script;
}
