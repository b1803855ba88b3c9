import { NO_PARTNER } from '../timeline/timeline.ts';
import type { SendPlan } from '../wire/send-plan.ts';
import type { RowSender } from './row-sender.ts';

/** More notes than any module has voices are not struck again. */
const MOST = 256;

/**
 * Finds the notes that would be sounding where play begins, to strike them again if the user wants that. Only
 * notes whose note-off is still to come; percussion rings for itself.
 */
export class Restrike {
  readonly #plan: SendPlan;
  readonly #on: boolean;
  /** Plan row of each event's note-off side: whether it lies behind is asked of the plan's order, not of time. */
  readonly #rowOf: Uint32Array;
  readonly #here = new Uint32Array(MOST);
  #hereCount = 0;
  readonly #loop = new Uint32Array(MOST);
  #loopCount = 0;

  readonly #drumChannels: number;

  constructor(plan: SendPlan, on: boolean, drumChannels: number) {
    this.#plan = plan;
    this.#drumChannels = drumChannels;
    this.#on = on;
    this.#rowOf = new Uint32Array(on ? plan.columns.count : 0);
    if (on) for (let row = 0; row < plan.count; row += 1) this.#rowOf[plan.event[row]!] = row;
  }

  /** @param songMicros the place itself: the plan may have put note-offs of its moment behind `row` */
  locate(row: number, songMicros: number): void {
    this.#hereCount = this.#on ? this.#collect(row, songMicros, this.#here) : 0;
  }

  locateLoop(row: number, songMicros: number): void {
    this.#loopCount = this.#on ? this.#collect(row, songMicros, this.#loop) : 0;
  }

  play(rows: RowSender): void {
    for (let i = 0; i < this.#hereCount; i += 1) rows.noteOn(this.#here[i]!);
  }

  playLoop(rows: RowSender): void {
    for (let i = 0; i < this.#loopCount; i += 1) rows.noteOn(this.#loop[i]!);
  }

  #collect(row: number, songMicros: number, into: Uint32Array): number {
    const { columns, event } = this.#plan;
    let count = 0;
    for (let i = 0; i < row && count < MOST; i += 1) {
      const at = event[i]!;
      const status = columns.status[at]!;
      if ((status & 0xf0) !== 0x90 || columns.data2[at] === 0) continue;
      if ((this.#drumChannels & (1 << (status & 0x0f))) !== 0) continue;
      const off = columns.partner[at]!;
      if (off === NO_PARTNER || this.#rowOf[off]! < row || columns.micros[off]! <= songMicros) continue;
      into[count] = at;
      count += 1;
    }
    return count;
  }
}
