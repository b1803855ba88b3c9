import { copyRow } from '../arrange/row-copy.ts';
import { blankRows } from '../timeline/blank-rows.ts';
import { isNoteOff } from '../timeline/note-row.ts';
import { NO_PARTNER, type Timeline, type TimelineColumns } from '../timeline/timeline.ts';

/** Parts of one song. Those that begin one after another are cheap: what is set before them is remembered. */
export class SongParts {
  readonly #timeline: Timeline;
  /** By status and controller: the row that set it last, of the rows before `#row`. */
  #set = new Map<number, number>();
  #row = 0;

  constructor(timeline: Timeline) {
    this.#timeline = timeline;
  }

  /**
   * The song from one song time to another (µs, both included), as a song: what is in force as it begins is set in it as
   * well, and a note that ends after `offsTo` has no end in it.
   */
  part(fromMicros: number, toMicros: number, offsTo = toMicros): Timeline {
    const { columns } = this.#timeline;
    const { micros, partner } = columns;
    const from = firstRow(columns, (at) => at >= fromMicros);
    const to = Math.max(
      from,
      firstRow(columns, (at) => at > toMicros),
    );
    const rows = this.#setBefore(from);
    const newRow = new Uint32Array(to - from).fill(NO_PARTNER);
    for (let row = from; row < to; row += 1) {
      if (isNoteOff(columns, row)) {
        const on = partner[row]!;
        if (micros[row]! > offsTo || on === NO_PARTNER || on < from) continue;
      }
      newRow[row - from] = rows.length;
      rows.push(row);
    }
    const part = blankRows(rows.length, columns);
    for (const [at, row] of rows.entries()) {
      copyRow(columns, row, part, at);
      part.partner[at] = newRow[partner[row]! - from] ?? NO_PARTNER;
    }
    return { ...this.#timeline, columns: part };
  }

  /** Rows in force before a row, ascending. */
  #setBefore(row: number): number[] {
    const { columns } = this.#timeline;
    if (row < this.#row) {
      this.#set = new Map();
      this.#row = 0;
    }
    for (; this.#row < row; this.#row += 1) {
      const status = columns.status[this.#row]!;
      if (status < 0xa0 || status >= 0xf0) continue;
      const hasNumber = (status & 0xf0) === 0xb0 || (status & 0xf0) === 0xa0;
      this.#set.set((status << 7) | (hasNumber ? columns.data1[this.#row]! : 0), this.#row);
    }
    return [...this.#set.values()].sort((a, b) => a - b);
  }
}

/** A part of a song that is wanted once: see `SongParts.part`. */
export function songPart(
  timeline: Timeline,
  fromMicros: number,
  toMicros: number,
  offsTo = toMicros,
): Timeline {
  return new SongParts(timeline).part(fromMicros, toMicros, offsTo);
}

/** The first row whose time is one of those behind; the number of rows where there is none. */
function firstRow({ count, micros }: TimelineColumns, isBehind: (at: number) => boolean): number {
  let low = 0;
  let high = count;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (isBehind(micros[middle]!)) high = middle;
    else low = middle + 1;
  }
  return low;
}
