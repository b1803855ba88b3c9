import { blankRows } from '../../timeline/blank-rows.ts';
import { sharedU8 } from '../../timeline/shared-columns.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { copyRow } from '../row-copy.ts';
import { pairAnew } from './pair-anew.ts';

/** Where a song ends, and when its ticks are. */
export interface SongEnd {
  readonly tick: number;
  readonly micros: number;
  microsAt(tick: number): number;
}

/** A row that was not in the columns before. */
export const NEW_ROW = 0xffff_ffff;

export interface EditedRows {
  readonly columns: TimelineColumns;
  /** [rows] row each was before, or NEW_ROW. */
  readonly origin: Uint32Array;
}

interface Added {
  /** It stands before this row, as far as tick and track allow. */
  readonly before: number;
  readonly tick: number;
  readonly order: number;
  readonly status: number;
  readonly data1: number;
  readonly data2: number;
  readonly track: number;
}

/** Changes to columns, gathered and then made all at once: the columns given stay as they are. */
export class RowEdits {
  readonly #columns: TimelineColumns;
  readonly #dropped: Uint8Array;
  readonly #status: Uint8Array;
  readonly #data1: Uint8Array;
  readonly #data2: Uint8Array;
  readonly #added: Added[] = [];
  #payloadBytes: Uint8Array | undefined;
  #changed = false;

  constructor(columns: TimelineColumns) {
    this.#columns = columns;
    this.#dropped = new Uint8Array(columns.count);
    this.#status = columns.status.slice();
    this.#data1 = columns.data1.slice();
    this.#data2 = columns.data2.slice();
  }

  get isEmpty(): boolean {
    return !this.#changed;
  }

  drop(row: number): void {
    this.#dropped[row] = 1;
    this.#changed = true;
  }

  isDropped(row: number): boolean {
    return this.#dropped[row] === 1;
  }

  put(row: number, status: number, data1: number, data2: number): void {
    if (this.#status[row] === status && this.#data1[row] === data1 && this.#data2[row] === data2) return;
    this.#status[row] = status;
    this.#data1[row] = data1;
    this.#data2[row] = data2;
    this.#changed = true;
  }

  /** One byte of the SysEx that stands there: what it is stays of the same kind. @param at counted from behind F0 */
  putSysExByte(row: number, at: number, byte: number): void {
    const { payload, payloadStart, payloadBytes } = this.#columns;
    if (this.#payloadBytes === undefined) {
      this.#payloadBytes = sharedU8(payloadBytes.length);
      this.#payloadBytes.set(payloadBytes);
    }
    this.#changed = true;
    this.#payloadBytes[payloadStart[payload[row]!]! + at] = byte;
  }

  /** A message at the moment of a row and before it; several in the order they are added. */
  addBefore(row: number, status: number, data1: number, data2: number, track: number): void {
    this.addAt(this.#tickOf(row), row, status, data1, data2, track);
  }

  /** A message at the moment of a row and after it. */
  addAfter(row: number, status: number, data1: number, data2: number, track: number): void {
    this.addAt(this.#tickOf(row), row + 1, status, data1, data2, track);
  }

  /** A message at a tick of its own. @param before where it stands among those of its tick and track */
  addAt(tick: number, before: number, status: number, data1: number, data2: number, track: number): void {
    const place = this.#placeOf(tick, before, track);
    this.#added.push({ before: place, order: this.#added.length, tick, status, data1, data2, track });
    this.#changed = true;
  }

  /** −1 stands for the song's end. */
  #tickOf(row: number): number {
    return row < this.#columns.count ? this.#columns.tick[row]! : -1;
  }

  /** As a file has it and a reader merges it: by tick, then by track, then as written. */
  #placeOf(tick: number, before: number, track: number): number {
    const { count, tick: ticks, track: tracks } = this.#columns;
    if (tick < 0) return count;
    let row = Math.min(before, count);
    while (row > 0 && ticks[row - 1]! >= tick) row -= 1;
    while (row < count && ticks[row]! < tick) row += 1;
    while (
      row < count &&
      ticks[row] === tick &&
      (tracks[row]! < track || (tracks[row] === track && row < before))
    ) {
      row += 1;
    }
    return row;
  }

  made(end: SongEnd): EditedRows {
    const from = this.#columns;
    const tickOf = ({ tick }: Added) => (tick < 0 ? Number.MAX_SAFE_INTEGER : tick);
    const added = this.#added.sort(
      (a, b) => a.before - b.before || tickOf(a) - tickOf(b) || a.track - b.track || a.order - b.order,
    );
    let count = from.count + added.length;
    for (let row = 0; row < from.count; row += 1) count -= this.#dropped[row]!;
    const to = blankRows(count, { ...from, payloadBytes: this.#payloadBytes ?? from.payloadBytes });
    const origin = new Uint32Array(count).fill(NEW_ROW);
    let at = 0;
    let next = 0;
    const lastTick = from.count > 0 ? from.tick[from.count - 1]! : 0;
    for (let row = 0; row <= from.count; row += 1) {
      for (; next < added.length && added[next]!.before === row; next += 1, at += 1) {
        const { tick, status, data1, data2, track } = added[next]!;
        to.micros[at] = tick >= 0 ? end.microsAt(tick) : end.micros;
        to.tick[at] = tick >= 0 ? tick : Math.max(end.tick, lastTick);
        to.status[at] = status;
        to.data1[at] = data1;
        to.data2[at] = data2;
        to.track[at] = track;
      }
      if (row === from.count || this.#dropped[row]) continue;
      copyRow(from, row, to, at);
      to.status[at] = this.#status[row]!;
      to.data1[at] = this.#data1[row]!;
      to.data2[at] = this.#data2[row]!;
      origin[at] = row;
      at += 1;
    }
    pairAnew(to);
    return { columns: to, origin };
  }
}
