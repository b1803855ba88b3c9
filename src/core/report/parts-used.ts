import type { Instrument } from '../instrument/instrument.ts';
import { isDrumChannel } from '../instrument/sound-names.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import type { ChannelPrograms } from './channel-programs.ts';
import { SoundingKeys } from './sounding-keys.ts';

/** How many different programs sound at once on an instrument, drums aside, and when these are too many. */
export class PartsUsed {
  most = 0;
  #overMicros = 0;
  readonly #columns: TimelineColumns;
  readonly #instrument: Instrument;
  readonly #programs: ChannelPrograms;
  readonly #keys: SoundingKeys;
  readonly #melodic: readonly number[];
  #strikes = 0;
  #firstStrike = -1;
  #overNotes = 0;
  #overRow = -1;
  #over = false;

  constructor(columns: TimelineColumns, instrument: Instrument, programs: ChannelPrograms) {
    this.#columns = columns;
    this.#instrument = instrument;
    this.#programs = programs;
    this.#keys = new SoundingKeys(columns);
    this.#melodic = instrument.channels.filter((channel) => !isDrumChannel(instrument, channel));
  }

  take(row: number): void {
    const { micros, count } = this.#columns;
    this.#keys.take(row);
    if (isNoteOn(this.#columns, row)) {
      this.#strikes += 1;
      if (this.#firstStrike < 0) this.#firstStrike = row;
    }
    if (row + 1 < count && micros[row + 1] === micros[row]) return;
    // As many channels as parts cannot be too many, and most songs are never asked further.
    if (this.#strikes > 0 || this.#over) this.#count();
    if (this.#over && row + 1 < count) this.#overMicros += micros[row + 1]! - micros[row]!;
    this.#strikes = 0;
    this.#firstStrike = -1;
  }

  get overSeconds(): number {
    return this.#overMicros / 1_000_000;
  }

  /** Where it first was so, and how many notes came meanwhile; empty where it never was. */
  crowded(): readonly { readonly row: number; readonly notes: number }[] {
    return this.#overRow < 0 ? [] : [{ row: this.#overRow, notes: this.#overNotes }];
  }

  #count(): void {
    const { program, msb, lsb } = this.#programs;
    const sounding = this.#melodic.filter((channel) => this.#keys.onChannel[channel]! > 0);
    let parts = sounding.length;
    if (parts > this.#instrument.parts) {
      parts = new Set(sounding.map((channel) => `${msb[channel]} ${lsb[channel]} ${program[channel]}`)).size;
    }
    this.most = Math.max(this.most, parts);
    this.#over = parts > this.#instrument.parts;
    if (!this.#over || this.#strikes === 0) return;
    this.#overNotes += this.#strikes;
    if (this.#overRow < 0) this.#overRow = this.#firstStrike;
  }
}
