import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { isGlide } from '../../wire/packing/controller-rules.ts';
import type { SendPlan } from '../../wire/send-plan.ts';
import { simulatePlan } from '../../wire/simulate-plan.ts';
import type { WireTraits } from '../../wire/wire-traits.ts';

const DRUMS = 9;
/** Note-offs that change places: no more than a hundredth of a second of wire. */
const MOST_RELEASES = 12;

/**
 * Note-offs with the velocity that means "none" (64, MIDI 1.0, p. 10 and Table I) written as note-ons of velocity 0, which
 * say the same and share a status byte with the notes.
 */
export function withSharedStatus(columns: TimelineColumns): TimelineColumns {
  const status = columns.status.slice();
  const data2 = columns.data2.slice();
  for (let row = 0; row < columns.count; row += 1) {
    if ((status[row]! & 0xf0) !== 0x80 || data2[row] !== 64) continue;
    status[row]! |= 0x10;
    data2[row] = 0;
  }
  return { ...columns, status, data2 };
}

/**
 * The plan with what leaves together always in one order, so that a bar that comes again is the same bytes again: the
 * notes of a chord drums first, then by channel and key; note-offs that wait for the wire by channel and key. Only
 * neighbours of one kind change places, so nothing begins before its moment, the last note of a chord is no later, and what
 * a channel is told keeps its place. A channel on which the order of notes is heard keeps it.
 */
export function settledOrder(plan: SendPlan, traits: WireTraits): SendPlan {
  const { columns, count } = plan;
  const { startMicros } = simulatePlan(plan, traits);
  const event = plan.event.slice();
  const releaseMicros = plan.releaseMicros.slice();
  let strict = 0;
  const isFree = (row: number) => ((strict >> (columns.status[row]! & 0x0f)) & 1) === 0;
  for (let from = 0, to = 0; from < count; from = to) {
    to = from + 1;
    const row = event[from]!;
    const status = columns.status[row]!;
    if ((status & 0xf0) === 0xb0 && isGlide(columns.data1[row]!, columns.data2[row]!))
      strict |= 1 << (status & 0x0f);
    if (!isFree(row)) continue;
    if (isNoteOn(columns, row)) {
      while (to < count && isNoteOn(columns, event[to]!) && isFree(event[to]!)) {
        if (columns.micros[event[to]!] !== columns.micros[row]) break;
        to += 1;
      }
    } else if (isNoteOff(columns, row)) {
      while (
        to < count &&
        to - from < MOST_RELEASES &&
        isNoteOff(columns, event[to]!) &&
        isFree(event[to]!)
      ) {
        if (columns.micros[event[to]!]! > startMicros[from]!) break;
        to += 1;
      }
    } else continue;
    if (to - from < 2) continue;
    event.subarray(from, to).sort((a, b) => placeOf(columns, a) - placeOf(columns, b) || a - b);
    releaseMicros.fill(releaseMicros[from]!, from, to);
  }
  return { ...plan, event, releaseMicros };
}

function placeOf({ status, data1 }: TimelineColumns, row: number): number {
  const channel = status[row]! & 0x0f;
  return (channel === DRUMS ? 0 : channel + 1) * 128 + data1[row]!;
}
