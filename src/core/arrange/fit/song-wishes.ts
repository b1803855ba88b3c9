import { drumSetName, programName } from '../../instrument/general-midi.ts';
import type { SeatFit } from './fit-seat.ts';
import { heardNotes } from './heard-notes.ts';
import { partOf, soundAt, soundOf } from './part-of.ts';
import { NEW_ROW } from './row-edits.ts';

/** What a song that was fitted wished for, told by what plays it now. */
export class SongWishes {
  /** Channel and sound → the one name that all its notes had; undefined where they had several. */
  readonly #names = new Map<number, string | undefined>();

  constructor(fits: readonly SeatFit[]) {
    for (const fit of fits) this.#gather(fit);
  }

  /**
   * The General MIDI name of the sound or drum kit that the song wished for; null where there is not one.
   * @param channel 0–15, on which it plays now @param bank as selected now, `msb << 7 | lsb`
   */
  nameOf(channel: number, bank: number, program: number): string | null {
    return this.#names.get(partOf(channel, soundAt(bank, program))) ?? null;
  }

  #gather({ written, fitted, judge }: SeatFit): void {
    const { columns, origin, marks } = fitted;
    const noteAt = new Uint32Array(written.count);
    for (const [note, row] of judge.notes.onRow.entries()) noteAt[row] = note;
    const now = heardNotes(columns, marks.drumChannels);
    for (let note = 0; note < now.count; note += 1) {
      const row = origin[now.onRow[note]!]!;
      if (row === NEW_ROW) continue;
      const was = noteAt[row]!;
      const program = judge.notes.program[was]!;
      const name = judge.notes.drum[was] ? drumSetName(program) : programName(program);
      const part = partOf(now.channel[note]!, soundOf(now, note));
      const isOne = !this.#names.has(part) || this.#names.get(part) === name;
      this.#names.set(part, isOne ? name : undefined);
    }
  }
}
