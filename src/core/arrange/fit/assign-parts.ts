import { servedPieces } from './part-flow.ts';
import { partOf } from './part-of.ts';
import type { PartStretch, TimeOf } from './part-stretches.ts';

/** A stretch and the channel that plays it. */
export interface PlacedStretch {
  readonly stretch: PartStretch;
  readonly channel: number;
  /** Row after which its channel is set up for it; −1 where it is the first there. */
  setUpAfter: number;
}

/** Of the least that is worth serving. */
const SET_UP = 0.5;

/**
 * Stretches on so many channels, so that as many notes as can be keep their sound: the choice is exact (a flow of
 * least cost); between equal channels a stretch stays on its own, or where its part was before.
 * @param worth [notes] what is counted instead of notes
 * @param stretches in order of time @param pauseMicros an instrument needs before it plays another sound
 */
export function assignParts(
  stretches: readonly PartStretch[],
  channels: readonly number[],
  pauseMicros: number,
  timeOf: TimeOf,
  worth?: Float64Array,
): PlacedStretch[] {
  const served = servedStretches(stretches, channels.length, pauseMicros, timeOf, worth);
  const placed: PlacedStretch[] = [];
  const last = new Map<number, PartStretch>();
  for (const stretch of served) {
    const start = timeOf(stretch.startRow) - pauseMicros;
    const free = channels.filter((channel) => {
      const before = last.get(channel);
      return before === undefined || (timeOf(before.endRow) <= start && before.endRow <= stretch.startRow);
    });
    // One is free: the choice leaves room.
    const channel = bestChannel(free, stretch, last)!;
    placed.push({ stretch, channel, setUpAfter: last.get(channel)?.endRow ?? -1 });
    last.set(channel, stretch);
  }
  return placed;
}

function bestChannel(
  free: readonly number[],
  stretch: PartStretch,
  last: ReadonlyMap<number, PartStretch>,
): number | undefined {
  const isSamePart = (channel: number) => {
    const before = last.get(channel);
    return before?.leader === stretch.leader && before.sound === stretch.sound;
  };
  return (
    free.find(isSamePart) ??
    free.find((channel) => channel === stretch.leader) ??
    free.find((channel) => !last.has(channel)) ??
    free[0]
  );
}

/**
 * The stretches that are served, those joined that one place serves one after another without doing anything else.
 * Setting a channel up costs a few bytes: worth it for no less than a note, so that none is set up for nothing.
 */
function servedStretches(
  stretches: readonly PartStretch[],
  places: number,
  pauseMicros: number,
  timeOf: TimeOf,
  worth: Float64Array | undefined,
): PartStretch[] {
  let least = Number.POSITIVE_INFINITY;
  const pieces = stretches.map(({ leader, sound, startRow, endRow, notes }) => {
    const from = timeOf(startRow);
    const all = notes.reduce((sum, note) => sum + (worth?.[note] ?? 1), 0);
    least = Math.min(least, all);
    return { part: partOf(leader, sound), from, until: Math.max(timeOf(endRow), from + 1), worth: all };
  });
  const { isServed, goesOn } = servedPieces(pieces, places, pauseMicros, least * SET_UP);
  const served: PartStretch[] = [];
  const last = new Map<number, PartStretch>();
  for (const [index, stretch] of stretches.entries()) {
    if (!isServed[index]) continue;
    const { part } = pieces[index]!;
    const before = last.get(part);
    if (goesOn[index] && before !== undefined) {
      before.endRow = Math.max(before.endRow, stretch.endRow);
      before.notes.push(...stretch.notes);
      continue;
    }
    const begun = { ...stretch, notes: [...stretch.notes] };
    last.set(part, begun);
    served.push(begun);
  }
  return served;
}
