import { NO_PARTNER, type TimelineColumns } from '../../timeline/timeline.ts';

/** Two notes on one key of one channel at once cannot be told apart: of such a pair a note that was moved gives way. */
export class KeyClashes {
  readonly #columns: TimelineColumns;
  /** [channel · 128 + key] note-on row held there, and whether it was moved. */
  readonly #held = new Uint32Array(2048).fill(NO_PARTNER);
  readonly #moved = new Uint8Array(2048);
  readonly #losers: number[] = [];

  constructor(columns: TimelineColumns) {
    this.#columns = columns;
  }

  /** Notes come in order of their rows. @returns false where it gives way itself */
  add(row: number, channel: number, key: number, isMoved: boolean): boolean {
    const place = channel * 128 + key;
    const held = this.#held[place]!;
    const isHeld = held !== NO_PARTNER && this.#columns.partner[held]! > row;
    if (isHeld && isMoved) {
      this.#losers.push(row);
      return false;
    }
    if (isHeld && this.#moved[place]) this.#losers.push(held);
    this.#held[place] = row;
    this.#moved[place] = isMoved ? 1 : 0;
    return true;
  }

  /** Note-on rows that give way. */
  losers(): readonly number[] {
    return this.#losers;
  }
}
