import { Fault } from '../../midi/stream-fault.ts';
import { counts } from '../growing-column.ts';
import type { Evidence } from './evidence.ts';

/** Marks of one lost byte lie close together: the messages it broke. */
const APART_MESSAGES = 12;

/** Messages that are broken or missing here and there, without a rule that names anything else. */
export function bytesLost({ written, heard, matched, notes, coverage }: Evidence): string | undefined {
  const marked = counts();
  const { faults } = heard;
  for (const [n, kind] of faults.kind.entries()) {
    if (kind === Fault.strayData || kind === Fault.truncated || kind === Fault.strayEnd)
      marked.push(faults.message[n]!);
  }
  const { heardOf } = matched.matching;
  // A place without its note: counted by the note heard before it.
  let before = 0;
  // What the song has before the recording begins, and after it ends, is not lost on the way.
  const isHeard = (found: number) => found >= 0;
  const last = heardOf.findLastIndex(isHeard);
  for (let note = heardOf.findIndex(isHeard); note < last; note += 1) {
    if (heardOf[note]! >= 0) before = heard.on.message[heardOf[note]!]!;
    else if (coverage.isUnheard[note] === 0) marked.push(before);
  }
  if (2 * inAbsentTracks(written, heardOf, coverage.isUnheard, last) > notes.missing && faults.count === 0)
    return undefined;
  for (const one of notes) if (one.kind !== 'missing') marked.push(heard.on.message[one.heard]!);
  if (marked.length === 0) return undefined;
  const marks = marked.whole().sort();
  const places = 1 + marks.filter((mark, n) => mark - (marks[n - 1] ?? mark) > APART_MESSAGES).length;
  const often = Math.round(heard.bytes / places);
  return `at ${places} ${places === 1 ? 'place' : 'places'} messages are broken or gone (${notes.missing} notes missing, ${faults.count} broken messages): about one byte in ${often}`;
}

/** Written notes, up to the last that was heard, of tracks of which none was heard: those were not sent. */
function inAbsentTracks(
  { track }: Evidence['written'],
  heardOf: Int32Array,
  isUnheard: Uint8Array,
  last: number,
): number {
  const tracks = new Map<number, { notes: number; heard: number }>();
  for (let note = 0; note <= last; note += 1) {
    if (isUnheard[note] === 1) continue;
    const one = tracks.get(track[note]!) ?? { notes: 0, heard: 0 };
    tracks.set(track[note]!, one);
    one.notes += 1;
    if (heardOf[note]! >= 0) one.heard += 1;
  }
  let sum = 0;
  for (const { notes, heard } of tracks.values()) if (heard === 0) sum += notes;
  return sum;
}
