import type { ProgramChoice } from './nearest-program.ts';

/** What one stage did to one kind of thing, gathered for the report. Channels 0–15, keys and programs 0–127. */
export interface ProgramMove {
  readonly channel: number;
  readonly from: number;
  readonly to: number;
  readonly toName: string;
  readonly why: ProgramChoice['why'] | 'kit';
  notes: number;
}

export interface KeyMove {
  readonly channel: number;
  /** `drum`: another drum sound; `part`: the part as a whole, by octaves; `note`: single notes, by octaves. */
  readonly what: 'drum' | 'part' | 'note';
  readonly from: number;
  readonly to: number;
  notes: number;
}

export interface ChannelMove {
  readonly from: number;
  readonly to: number;
  /** `program`: it plays on with its own; `other-program`: in a part that plays another; `drums`. */
  readonly why: 'program' | 'other-program' | 'drums';
  notes: number;
}

/** Which channel went to which, and why, counted. */
export class ChannelMoves {
  readonly #moves = new Map<string, ChannelMove>();

  gather(from: number, to: number, why: ChannelMove['why']): void {
    const id = `${from} ${to} ${why}`;
    const move = this.#moves.get(id) ?? { from, to, why, notes: 0 };
    move.notes += 1;
    this.#moves.set(id, move);
  }

  all(): readonly ChannelMove[] {
    return [...this.#moves.values()];
  }
}
