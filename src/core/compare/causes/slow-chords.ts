import { firstNotBefore } from '../../timeline/sorted-values.ts';
import { median } from '../robust-line.ts';
import type { Evidence } from './evidence.ts';

/** Three bytes on the wire (MIDI 1.0, p. 9): faster nobody can be, and a player that keeps up needs no longer. */
const WIRE_MICROS = 960;
const FEWEST_CHORDS = 8;

/** Time from note to note within chords, where it is longer than the wire needs. */
export function slowChords({ written, heard, matched, grainMicros }: Evidence): string | undefined {
  const { heardOf } = matched.matching;
  const each: number[] = [];
  let from = 0;
  while (from < written.count) {
    let to = from + 1;
    while (to < written.count && written.moment[to] === written.moment[from]) to += 1;
    const gap = perMessage(heard, heardOf, from, to);
    if (gap !== undefined) each.push(gap);
    from = to;
  }
  if (each.length < FEWEST_CHORDS) return undefined;
  const cost = median(Float64Array.from(each));
  if (cost < 1.5 * WIRE_MICROS + grainMicros / 2) return undefined;
  return `within chords ${(cost / 1000).toFixed(1)} ms pass from message to message (${each.length} chords); the wire needs 0.6 to 1.0`;
}

/** Microseconds a message between the first and last note of a moment that were heard. */
function perMessage(
  heard: Evidence['heard'],
  heardOf: Int32Array,
  from: number,
  to: number,
): number | undefined {
  let first = -1;
  let last = -1;
  for (let note = from; note < to; note += 1) {
    const found = heardOf[note]!;
    if (found < 0) continue;
    if (first < 0 || found < first) first = found;
    if (found > last) last = found;
  }
  if (first === last) return undefined;
  const messages = heard.on.message[last]! - heard.on.message[first]!;
  // With much between them (a chord spread over other messages) it says less.
  if (messages > 3 * (to - from)) return undefined;
  // A SysEx in between takes its own time on the wire.
  const sysEx = heard.sysEx.message[firstNotBefore(heard.sysEx.message, heard.on.message[first]!)];
  if (sysEx !== undefined && sysEx < heard.on.message[last]!) return undefined;
  return (heard.on.micros[last]! - heard.on.micros[first]!) / messages;
}
