import { isNoteOff, isNoteOn } from '../../core/midi/status.ts';

/**
 * One wire, two who strike keys on it: the song, and whoever plays along. A receiver does not know whose note a note-off
 * means, so while both hold a key the note-off of the one who lets go first is kept, and goes out with the other's:
 * each note sounds until its own player lets go, and every strike still has its note-off (MIDI 1.0, p. A-4).
 * Counted as it is written to the wire. Nothing is allocated.
 *
 *   song, visitor  u16 [2048]  strikes on the wire less those let go, by channel and key
 *   owed           u16 [2048]  note-offs kept
 */
export class SharedKeys {
  readonly #song = new Uint16Array(2048);
  readonly #visitor = new Uint16Array(2048);
  readonly #owed = new Uint16Array(2048);

  /**
   * Whether this message, next to be written, is kept instead: it then counts as let go.
   * @param isSongRow a row of the song; what else is not the visitor's is a silence, which ends whatever sounds
   */
  keeps(status: number, key: number, velocity: number, isVisitor: boolean, isSongRow: boolean): boolean {
    if (!isNoteOff(status, velocity)) return false;
    const cell = (status & 15) * 128 + key;
    const mine = isVisitor ? this.#visitor : this.#song;
    const others = isVisitor ? this.#song : this.#visitor;
    if (others[cell] === 0) return false;
    // A note-off for nothing: it would end what is not its own.
    if (mine[cell] === 0) return isVisitor || isSongRow;
    mine[cell]! -= 1;
    this.#owed[cell]! += 1;
    return true;
  }

  /** It is written. Hands back how many note-offs are due for its key now, which were kept until here. */
  wrote(status: number, key: number, velocity: number, isVisitor: boolean): number {
    const cell = (status & 15) * 128 + key;
    const own = isVisitor ? this.#visitor : this.#song;
    if (isNoteOn(status, velocity)) {
      if (own[cell]! < MOST_STRIKES) own[cell]! += 1;
      return 0;
    }
    if (!isNoteOff(status, velocity)) return 0;
    // Where it has no strike of its own it is a silence, and ends the other's.
    const ended = own[cell]! > 0 ? own : isVisitor ? this.#song : this.#visitor;
    if (ended[cell]! > 0) ended[cell]! -= 1;
    if (ended[cell]! > 0) return 0;
    const owed = this.#owed[cell]!;
    this.#owed[cell] = 0;
    return owed;
  }

  /** The receiver is gone, and what sounds there with it. */
  clear(): void {
    this.#song.fill(0);
    this.#visitor.fill(0);
    this.#owed.fill(0);
  }
}

const MOST_STRIKES = 60_000;
