import { leastLoss } from './least-loss.ts';
import type { PartStretch, TimeOf } from './part-stretches.ts';

/** A stretch and the channel that plays it. */
export interface PlacedStretch {
  readonly stretch: PartStretch;
  readonly channel: number;
  /** Row after which its channel is set up for it; −1 where it is the first there. */
  setUpAfter: number;
}

export interface PartAssignment {
  /** In order of time. */
  readonly placed: readonly PlacedStretch[];
  readonly unplaced: readonly PartStretch[];
}

/**
 * Stretches on so many channels, so that as many notes as can be keep their program: the choice is exact (a flow of
 * least cost, as for voices); between equal channels a stretch stays on its own, or where its part was before.
 * @param worth [notes] what is counted instead of notes
 * @param stretches in order of time @param pauseMicros an instrument needs before it plays another program
 */
export function assignParts(
  stretches: readonly PartStretch[],
  channels: readonly number[],
  pauseMicros: number,
  timeOf: TimeOf,
  worth?: Float64Array,
): PartAssignment {
  const chosen = chosenStretches(stretches, channels.length, pauseMicros, timeOf, worth);
  const placed: PlacedStretch[] = [];
  const last = new Map<number, PartStretch>();
  for (const stretch of stretches.filter((_, index) => chosen[index])) {
    const start = timeOf(stretch.startRow) - pauseMicros;
    const free = channels.filter((channel) => {
      const before = last.get(channel);
      return before === undefined || (timeOf(before.endRow) <= start && before.endRow <= stretch.startRow);
    });
    const channel = bestChannel(free, stretch, last);
    if (channel === undefined) continue; // cannot be: the choice leaves room
    placed.push({ stretch, channel, setUpAfter: last.get(channel)?.endRow ?? -1 });
    last.set(channel, stretch);
  }
  const isPlaced = new Set(placed.map(({ stretch }) => stretch));
  return { placed, unplaced: stretches.filter((stretch) => !isPlaced.has(stretch)) };
}

function bestChannel(
  free: readonly number[],
  stretch: PartStretch,
  last: ReadonlyMap<number, PartStretch>,
): number | undefined {
  const isSamePart = (channel: number) => {
    const before = last.get(channel);
    return before?.leader === stretch.leader && before.program === stretch.program;
  };
  return (
    free.find(isSamePart) ??
    free.find((channel) => channel === stretch.leader) ??
    free.find((channel) => !last.has(channel)) ??
    free[0]
  );
}

/** A stretch takes its place from its pause on; points are where pauses begin. */
function chosenStretches(
  stretches: readonly PartStretch[],
  places: number,
  pauseMicros: number,
  timeOf: TimeOf,
  worth: Float64Array | undefined,
): boolean[] {
  const starts = stretches.map(({ startRow }) => timeOf(startRow) - pauseMicros);
  const first: number[] = [];
  const pieceStart = [0];
  const values: number[] = [];
  for (const [index, stretch] of stretches.entries()) {
    const end = timeOf(stretch.endRow);
    let to = index + 1;
    while (to < stretches.length && (starts[to]! < end || stretches[to]!.startRow < stretch.endRow)) to += 1;
    first.push(index);
    const all = stretch.notes.reduce((sum, note) => sum + (worth?.[note] ?? 1), 0);
    // All or nothing: the whole worth lies in its last piece.
    for (let point = index; point < to; point += 1) values.push(point + 1 < to ? 0 : all);
    pieceStart.push(values.length);
  }
  const kept = leastLoss({
    points: stretches.length,
    places,
    first: Uint32Array.from(first),
    pieceStart: Uint32Array.from(pieceStart),
    value: Float64Array.from(values),
  });
  return stretches.map((_, index) => kept[index] === pieceStart[index + 1]! - pieceStart[index]!);
}
