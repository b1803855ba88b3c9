import type { HeardNotes } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
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

/** Two notes that are left over are one that was changed when they stand no farther apart. */
const NEAR_MICROS = 60_000;

/** What of the notes is not as written, in order of the recording's time. */
export function noteDifferences(
  written: WrittenMusic,
  heard: HeardNotes,
  { matching, expected }: MatchedMusic,
): NoteDifference[] {
  const { heardOf, writtenOf } = matching;
  const lost = unmatched(heardOf).sort((a, b) => expected[a]! - expected[b]!);
  const extra = unmatched(writtenOf);
  const changed = pairChanged(lost, extra, written, heard, expected);
  const partner = new Map(changed.map(({ written: note, heard: found }) => [note, found]));
  const taken = new Set(partner.values());
  const all: NoteDifference[] = [
    ...changed,
    ...lost.filter((note) => !partner.has(note)).map((note) => ({ kind: 'missing', written: note }) as const),
    ...extra.filter((note) => !taken.has(note)).map((note) => ({ kind: 'added', heard: note }) as const),
    ...otherVelocity(written, heard, heardOf),
  ];
  const at = (one: NoteDifference) =>
    one.kind === 'added' ? heard.micros[one.heard]! : expected[one.written]!;
  return all.sort((a, b) => at(a) - at(b));
}

function unmatched(partner: Int32Array): number[] {
  const found: number[] = [];
  for (let note = 0; note < partner.length; note += 1) if (partner[note]! < 0) found.push(note);
  return found;
}

type Changed = Extract<NoteDifference, { kind: 'changed' }>;

function pairChanged(
  lost: readonly number[],
  extra: readonly number[],
  written: WrittenMusic,
  heard: HeardNotes,
  expected: Float64Array,
): Changed[] {
  const found: Changed[] = [];
  const taken = new Set<number>();
  let low = 0;
  for (const note of lost) {
    const at = expected[note]!;
    while (low < extra.length && heard.micros[extra[low]!]! < at - NEAR_MICROS) low += 1;
    // Bounded: in a recording of something else everything is left over.
    for (
      let n = low;
      n < Math.min(extra.length, low + 32) && heard.micros[extra[n]!]! <= at + NEAR_MICROS;
      n += 1
    ) {
      const other = extra[n]!;
      if (taken.has(other)) continue;
      const sameChannel = heard.channel[other] === written.channel[note];
      const sameKey = heard.key[other] === written.key[note];
      const sameVelocity = heard.velocity[other] === written.velocity[note];
      const what = sameKey && sameVelocity ? 'channel' : sameChannel && sameVelocity ? 'key' : undefined;
      if (what === undefined) continue;
      taken.add(other);
      found.push({ kind: 'changed', written: note, heard: other, what });
      break;
    }
  }
  return found;
}

function otherVelocity(written: WrittenMusic, heard: HeardNotes, heardOf: Int32Array): Changed[] {
  const found: Changed[] = [];
  for (let note = 0; note < written.count; note += 1) {
    const other = heardOf[note]!;
    if (other >= 0 && heard.velocity[other] !== written.velocity[note]) {
      found.push({ kind: 'changed', written: note, heard: other, what: 'velocity' });
    }
  }
  return found;
}
