import { isNoteOn } from '../timeline/note-row.ts';
import type { SendPlan } from '../wire/send-plan.ts';

/** Places in the plan by song time, right for packed plans too: rows that moved early, and those that made room. */
export class PlanCursor {
  readonly #plan: SendPlan;
  /** How much earlier than due a note-on is released, at most (µs); 0 unless the plan takes notes early. */
  readonly #earliest: number;

  constructor(plan: SendPlan) {
    this.#plan = plan;
    let earliest = 0;
    const { columns, event, releaseMicros, count } = plan;
    for (let row = 0; row < count; row += 1) {
      const at = event[row]!;
      if ((columns.status[at]! & 0xf0) !== 0x90 || columns.data2[at] === 0) continue;
      const lead = columns.micros[at]! - releaseMicros[row]!;
      if (lead > earliest) earliest = lead;
    }
    this.#earliest = earliest;
  }

  /** First row to play from a song time; from the song's start that is the very first, run-up and all. */
  rowAt(songMicros: number): number {
    return songMicros <= 0 ? 0 : this.rowAfterChase(songMicros);
  }

  /**
   * First row to play once the chase has been sent: the first note-on due from then on that was taken early, or
   * the first row released from then on. What stands at that very moment before its first note belongs to the
   * chase too: the music waits for that, and would be late behind this. Note-ons after the row that were due
   * before are not played.
   */
  rowAfterChase(songMicros: number): number {
    const { releaseMicros, count } = this.#plan;
    let row =
      this.#earliest > 0 ? this.#lowerBound(songMicros - this.#earliest) : this.#lowerBound(songMicros);
    while (row < count && releaseMicros[row]! <= songMicros && !this.#isNoteDue(row, songMicros)) row += 1;
    return row;
  }

  #isNoteDue(row: number, songMicros: number): boolean {
    const { columns, event } = this.#plan;
    const at = event[row]!;
    return isNoteOn(columns, at) && columns.micros[at]! >= songMicros;
  }

  #lowerBound(songMicros: number): number {
    const { releaseMicros } = this.#plan;
    let low = 0;
    let high = this.#plan.count;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (releaseMicros[middle]! < songMicros) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}
