import { endsNotes } from '../../midi/controllers.ts';
import { firstAfter } from '../../timeline/sorted-values.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';
import { type PartLeaders, partOf, soundOf } from './part-of.ts';

/** A while in which a part plays one sound, without a rest long enough to give its place to another. */
export interface PartStretch {
  /** The channel whose settings it has; others of the same sound may play along. */
  readonly leader: number;
  /** Bank and program, as `soundOf` has them. */
  readonly sound: number;
  readonly startRow: number;
  /** Row with which its last note ends; the number of rows where nothing ends it. */
  endRow: number;
  /** Indexes of its notes. */
  readonly notes: number[];
}

/** Time of a row; the song's end after the last. */
export type TimeOf = (row: number) => number;

/**
 * The stretches of all parts but the drums, in order of time.
 * @param restMicros a rest this long ends a stretch
 */
export function partStretches(
  notes: HeardNotes,
  leaders: PartLeaders,
  restMicros: number,
  timeOf: TimeOf,
): PartStretch[] {
  const stretches: PartStretch[] = [];
  const open = new Map<number, PartStretch>();
  for (let note = 0; note < notes.count; note += 1) {
    if (notes.drum[note]) continue;
    const sound = soundOf(notes, note);
    const channel = notes.channel[note]!;
    const leader = leaders.get(partOf(channel, sound)) ?? channel;
    const part = partOf(leader, sound);
    const onRow = notes.onRow[note]!;
    let stretch = open.get(part);
    if (stretch === undefined || isAfter(stretch, onRow, restMicros, timeOf)) {
      stretch = { leader, sound, startRow: onRow, endRow: onRow, notes: [] };
      open.set(part, stretch);
      stretches.push(stretch);
    }
    stretch.notes.push(note);
    stretch.endRow = Math.max(stretch.endRow, notes.endRow[note]!);
  }
  return stretches;
}

/** Nothing of it sounds any more, and it has lasted for a while. */
function isAfter(
  { startRow, endRow }: PartStretch,
  row: number,
  restMicros: number,
  timeOf: TimeOf,
): boolean {
  const time = timeOf(row);
  return row > endRow && time - timeOf(endRow) >= restMicros && time >= timeOf(startRow) + 1;
}

/** The rows that move a channel's pitch, hold its notes, or end them all at once. */
export class ChannelDisturbance {
  readonly #rows: number[][] = Array.from({ length: 16 }, () => []);
  readonly #isBent: boolean[][] = Array.from({ length: 16 }, () => []);
  readonly #cuts: number[][] = Array.from({ length: 16 }, () => []);

  constructor(columns: TimelineColumns) {
    const { count, status, data1, data2 } = columns;
    for (let row = 0; row < count; row += 1) {
      const kind = status[row]! & 0xf0;
      const channel = status[row]! & 15;
      if (kind === 0xe0) this.#add(channel, row, data1[row] !== 0 || data2[row] !== 64);
      else if (kind !== 0xb0) continue;
      else if (data1[row]! >= 64 && data1[row]! <= 69) this.#add(channel, row, data2[row]! >= 64);
      else if (endsNotes(data1[row]!)) this.#cuts[channel]!.push(row);
    }
  }

  /** True where a channel is neither bent nor pedalled from one row to another. */
  isStill(channel: number, from: number, to: number): boolean {
    const rows = this.#rows[channel]!;
    let low = firstAfter(rows, from);
    if (low > 0 && this.#isBent[channel]![low - 1]) return false;
    for (; low < rows.length && rows[low]! < to; low += 1) if (this.#isBent[channel]![low]) return false;
    return true;
  }

  /** True where a mode message of the channel ends whatever it sounds between two rows, the last among them. */
  isCut(channel: number, from: number, to: number): boolean {
    const rows = this.#cuts[channel]!;
    return (rows[firstAfter(rows, from)] ?? Number.POSITIVE_INFINITY) <= to;
  }

  #add(channel: number, row: number, isBent: boolean): void {
    this.#rows[channel]!.push(row);
    this.#isBent[channel]!.push(isBent);
  }
}
