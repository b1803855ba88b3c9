import { orderOf } from './ascending-order.ts';
import type { Coverage } from './coverage.ts';
import type { HeardNotes } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import { isOtherVelocity } from './unexplained-notes.ts';
import type { WrittenMusic } from './written-music.ts';

export type NoteDifference =
  | { readonly kind: 'missing'; readonly written: number }
  | { readonly kind: 'added'; readonly heard: number }
  /** One and the same, but for what is named. */
  | {
      readonly kind: 'changed';
      readonly written: number;
      readonly heard: number;
      readonly what: 'channel' | 'key' | 'velocity';
    };

const CHANGES = ['channel', 'key', 'velocity'] as const;
type Change = (typeof CHANGES)[number];
const NONE = -1;

interface Counts {
  readonly missing: number;
  readonly added: number;
  readonly changed: number;
}

/** What of the notes is not as written, in order of the recording's time. Kept as columns: there may be millions. */
export class NoteDifferences {
  readonly length: number;
  readonly missing: number;
  readonly added: number;
  readonly changed: number;
  /** [length] Written note and heard note, −1 for none; for two that are one, place in `CHANGES` of what differs. */
  readonly #written: Int32Array;
  readonly #heard: Int32Array;
  readonly #what: Uint8Array;

  /** Of another song: so many are missing and too many, and which ones nobody asks. */
  static counted(written: number, heard: number, matched: number): NoteDifferences {
    const none = new Int32Array(0);
    const counts = { missing: written - matched, added: heard - matched, changed: 0 };
    return new NoteDifferences(none, none, new Uint8Array(0), counts);
  }

  constructor(written: Int32Array, heard: Int32Array, what: Uint8Array, counts: Counts) {
    this.length = written.length;
    this.#written = written;
    this.#heard = heard;
    this.#what = what;
    this.missing = counts.missing;
    this.added = counts.added;
    this.changed = counts.changed;
  }

  /** @param n 0 … length − 1 */
  at(n: number): NoteDifference {
    const written = this.#written[n]!;
    const heard = this.#heard[n]!;
    if (heard === NONE) return { kind: 'missing', written };
    if (written === NONE) return { kind: 'added', heard };
    return { kind: 'changed', written, heard, what: CHANGES[this.#what[n]!]! };
  }

  *[Symbol.iterator](): Generator<NoteDifference> {
    for (let n = 0; n < this.length; n += 1) yield this.at(n);
  }
}

/** Two notes that are left over are one that was changed when they stand no farther apart. */
const NEAR_MICROS = 60_000;
/** Notes looked at for each that is missing: in a recording of something else everything is left over. */
const MOST_LOOKED_AT = 32;

export function noteDifferences(
  written: WrittenMusic,
  heard: HeardNotes,
  { matching, expected }: MatchedMusic,
  { isUnheard }: Coverage,
): NoteDifferences {
  const { heardOf, writtenOf } = matching;
  const lost = unmatched(heardOf).filter((note) => isUnheard[note] === 0);
  const extra = unmatched(writtenOf);
  const { partner, what, taken, pairs } = pairChanged(lost, extra, written, heard, expected);
  const isOther = (note: number) => isOtherVelocity(written, heard, heardOf, note);
  let louder = 0;
  for (let note = 0; note < written.count; note += 1) louder += isOther(note) ? 1 : 0;
  const count = lost.length + extra.length - pairs + louder;
  const columns = {
    written: new Int32Array(count),
    heard: new Int32Array(count),
    what: new Uint8Array(count),
    at: new Float64Array(count),
  };
  let next = 0;
  const put = (note: number, found: number, change: number): void => {
    columns.written[next] = note;
    columns.heard[next] = found;
    columns.what[next] = change;
    columns.at[next] = note === NONE ? heard.micros[found]! : expected[note]!;
    next += 1;
  };
  for (const [n, note] of lost.entries()) put(note, partner[n]!, what[n]!);
  for (const [n, note] of extra.entries()) if (taken[n] === 0) put(NONE, note, 0);
  for (let note = 0; note < written.count; note += 1) {
    if (isOther(note)) put(note, heardOf[note]!, CHANGES.indexOf('velocity'));
  }
  const order = orderOf(columns.at);
  const inOrder = <C extends Int32Array | Uint8Array>(from: C, to: C): C => {
    for (const [n, place] of order.entries()) to[n] = from[place]!;
    return to;
  };
  return new NoteDifferences(
    inOrder(columns.written, new Int32Array(count)),
    inOrder(columns.heard, new Int32Array(count)),
    inOrder(columns.what, new Uint8Array(count)),
    { missing: lost.length - pairs, added: extra.length - pairs, changed: pairs + louder },
  );
}

function unmatched(partner: Int32Array): Uint32Array {
  let count = 0;
  for (const other of partner) count += other < 0 ? 1 : 0;
  const found = new Uint32Array(count);
  count = 0;
  for (let note = 0; note < partner.length; note += 1) {
    if (partner[note]! >= 0) continue;
    found[count] = note;
    count += 1;
  }
  return found;
}

/**
 * Which of the lost notes came as one of the added ones, but for its channel or its key.
 * @returns for each lost note its partner, −1 for none, and what differs; whether each added note is one
 */
function pairChanged(
  lost: Uint32Array,
  extra: Uint32Array,
  written: WrittenMusic,
  heard: HeardNotes,
  expected: Float64Array,
) {
  const partner = new Int32Array(lost.length).fill(NONE);
  const what = new Uint8Array(lost.length);
  const taken = new Uint8Array(extra.length);
  let pairs = 0;
  let low = 0;
  for (const place of orderOf(Float64Array.from(lost, (note) => expected[note]!))) {
    const note = lost[place]!;
    const at = expected[note]!;
    while (low < extra.length && heard.micros[extra[low]!]! < at - NEAR_MICROS) low += 1;
    const end = Math.min(extra.length, low + MOST_LOOKED_AT);
    for (let n = low; n < end && heard.micros[extra[n]!]! <= at + NEAR_MICROS; n += 1) {
      if (taken[n] === 1) continue;
      const change = changeOf(written, note, heard, extra[n]!);
      if (change === undefined) continue;
      partner[place] = extra[n]!;
      what[place] = CHANGES.indexOf(change);
      taken[n] = 1;
      pairs += 1;
      break;
    }
  }
  return { partner, what, taken, pairs };
}

/** What alone tells the two apart; undefined: more than that. */
function changeOf(written: WrittenMusic, note: number, heard: HeardNotes, other: number): Change | undefined {
  if (heard.velocity[other] !== written.velocity[note]) return undefined;
  if (heard.key[other] === written.key[note]) return 'channel';
  return heard.channel[other] === written.channel[note] ? 'key' : undefined;
}
