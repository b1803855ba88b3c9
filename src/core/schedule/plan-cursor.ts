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

  /**
   * First row to play from a song time: the first one released from then on, or an earlier note-on that is only
   * due by then. Rows before it belong to the chase; note-ons after it that were due before are not played.
   */
  rowAt(songMicros: number): number {
    const { columns, event, releaseMicros } = this.#plan;
    if (songMicros <= 0) return 0;
    const released = this.#lowerBound(songMicros);
    const from = this.#earliest > 0 ? this.#lowerBound(songMicros - this.#earliest) : released;
    for (let row = from; row < released; row += 1) {
      const at = event[row]!;
      const isNoteOn = (columns.status[at]! & 0xf0) === 0x90 && columns.data2[at]! > 0;
      if (isNoteOn && columns.micros[at]! >= songMicros && releaseMicros[row]! < songMicros) return row;
    }
    return released;
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
