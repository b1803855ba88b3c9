import { firstAfter } from '../timeline/sorted-values.ts';
import { numbers } from './growing-column.ts';

/** Stretches of the recording's time in which whoever heard it stood still, ascending: what came then was stamped later. */
export interface Standstills {
  readonly fromMicros: Float64Array;
  readonly toMicros: Float64Array;
}

export const NO_STANDSTILLS: Standstills = { fromMicros: new Float64Array(0), toMicros: new Float64Array(0) };

/** Stretches that are no farther apart are one. */
const APART_MICROS = 20_000;
/** What waited meanwhile is read within so long. */
const CATCHES_UP_MICROS = 10_000;
/** More are one with the last: no time can be trusted then. */
const MOST = 100_000;

/** Notes down when the listener stood still. */
export class StandstillList {
  readonly #from = numbers();
  readonly #to = numbers();

  /** @param fromMicros not before that of the one before; else it is taken to be that */
  add(fromMicros: number, toMicros: number): void {
    const last = this.#to.length - 1;
    if (last >= 0 && (fromMicros - this.#to.get(last) <= APART_MICROS || last + 1 >= MOST)) {
      this.#to.set(last, Math.max(toMicros, this.#to.get(last)));
      return;
    }
    this.#from.push(fromMicros);
    this.#to.push(toMicros);
  }

  /** Those that notes between two moments may have been held up by. */
  between(fromMicros: number, untilMicros: number): Standstills {
    const to = this.#to.whole();
    const from = this.#from.whole();
    const low = firstAfter(to, fromMicros - 2 * CATCHES_UP_MICROS);
    const high = Math.max(low, firstAfter(from, untilMicros));
    return { fromMicros: from.subarray(low, high), toMicros: to.subarray(low, high) };
  }

  all(): Standstills {
    return this.between(Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
  }
}

/** [count] 1 for each note heard that was stamped while the listener stood still, or caught up: its time says nothing. */
export function heldUp(
  { count, micros }: { readonly count: number; readonly micros: Float64Array },
  { fromMicros, toMicros }: Standstills,
): Uint8Array {
  const held = new Uint8Array(count);
  let next = 0;
  // Times go on, but for those of a wire's bytes that were told apart afterwards: so each is looked for from where it may be.
  for (let note = 0; note < count && toMicros.length > 0; note += 1) {
    const at = micros[note]!;
    while (next > 0 && toMicros[next - 1]! + CATCHES_UP_MICROS >= at) next -= 1;
    while (next < toMicros.length && toMicros[next]! + CATCHES_UP_MICROS < at) next += 1;
    if (next < toMicros.length && fromMicros[next]! <= at) held[note] = 1;
  }
  return held;
}

export interface StandstillCounts {
  readonly count: number;
  readonly longestMicros: number;
  /** Notes heard meanwhile. */
  readonly notes: number;
}

export function standstillCounts({ fromMicros, toMicros }: Standstills, notes: number): StandstillCounts {
  const longest = fromMicros.reduce((most, from, n) => Math.max(most, toMicros[n]! - from), 0);
  return { count: toMicros.length, longestMicros: Math.round(longest), notes };
}

/** As a record tells it; `standstillMicros` reads it. */
export function standstillWords(micros: number): string {
  return `wirepit stood still for ${(micros / 1000).toFixed(1)} ms: what came meanwhile has this time`;
}

const WORDS = /^wirepit stood still for (\d+(?:\.\d+)?) ms: /;

/** @returns its length; undefined for any other remark */
export function standstillMicros(remark: string): number | undefined {
  const found = WORDS.exec(remark);
  return found === null ? undefined : Number(found[1]) * 1000;
}
