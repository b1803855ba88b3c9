import { type SysExCatalogue, SysExRole } from './sysex-catalogue.ts';

const NONE = -1;

/**
 * Which SysEx is in force: the last reset, and the last message of each lasting class since then, with its turn.
 */
export class SysExMemory {
  readonly catalogue: SysExCatalogue;
  /** Payload row of the last reset, −1 for none. */
  reset = NONE;
  /** [kinds + 1] payload row by class, −1 for none; and in which turn it came. */
  readonly row: Int32Array;
  readonly turn: Uint32Array;
  #turns = 0;

  constructor(catalogue: SysExCatalogue) {
    this.catalogue = catalogue;
    this.row = new Int32Array(catalogue.kinds + 1);
    this.turn = new Uint32Array(catalogue.kinds + 1);
    this.forget();
  }

  forget(): void {
    this.reset = NONE;
    this.row.fill(NONE);
    this.turn.fill(0);
    this.#turns = 0;
  }

  copyFrom(other: SysExMemory): void {
    this.reset = other.reset;
    this.row.set(other.row);
    this.turn.set(other.turn);
    this.#turns = other.#turns;
  }

  /** Folds a payload row; true when it was a reset. */
  fold(payload: number): boolean {
    const role = this.catalogue.role[payload]!;
    if (role === SysExRole.lasting) {
      const kind = this.catalogue.kind[payload]!;
      this.#turns += 1;
      this.row[kind] = payload;
      this.turn[kind] = this.#turns;
    } else if (role === SysExRole.reset) {
      this.forget();
      this.reset = payload;
      return true;
    }
    return false;
  }

  /** The class is at rest again. */
  clear(kind: number): void {
    this.row[kind] = NONE;
  }

  /** A class that `sent` has in force and this one has not, and that can be brought to rest; or 0. */
  nextSurplus(sent: SysExMemory, after: number): number {
    for (let kind = after + 1; kind < this.row.length; kind += 1) {
      const surplus = this.row[kind] === NONE && sent.row[kind] !== NONE;
      if (surplus && this.catalogue.rest[kind] !== undefined) return kind;
    }
    return 0;
  }

  /** True when both rest on the same reset, byte for byte, or this one on none. */
  sameReset(other: SysExMemory): boolean {
    if (this.reset === NONE) return true;
    const { content } = this.catalogue;
    return other.reset !== NONE && content[this.reset] === content[other.reset];
  }

  /** Payload row of the earliest message in force here and not in `sent`, or −1. */
  nextMissing(sent: SysExMemory): number {
    const { content } = this.catalogue;
    let best = NONE;
    let bestTurn = 0xffff_ffff;
    for (let kind = 1; kind < this.row.length; kind += 1) {
      const row = this.row[kind]!;
      const turn = this.turn[kind]!;
      if (row === NONE || turn >= bestTurn) continue;
      const other = sent.row[kind]!;
      if (other !== NONE && content[other] === content[row]) continue;
      best = row;
      bestTurn = turn;
    }
    return best;
  }
}
