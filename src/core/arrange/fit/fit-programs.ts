import type { Instrument } from '../../instrument/instrument.ts';
import { ALL_CHANNELS } from '../../instrument/orchestra.ts';
import { knowsRhythmBank, RHYTHM_BANK, SECOND_DRUM_CHANNEL } from '../../instrument/song-drums.ts';
import { Cc } from '../../midi/controllers.ts';
import { isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { ProgramMove } from './moves.ts';
import { isBank, nearestProgram, type ProgramChoice, type ProgramWish } from './nearest-program.ts';
import type { RowEdits } from './row-edits.ts';

interface ChannelState {
  /** As the song selects them; undefined for never. */
  msb: number | undefined;
  lsb: number | undefined;
  program: number;
  /** Bank selections since the last program: which bank they mean is known with the next one. */
  waiting: number;
  /** What the instrument has been told. */
  toldMsb: number | undefined;
  toldLsb: number | undefined;
  move: ProgramMove | undefined;
  begun: boolean;
}

type BankSelection = Pick<ChannelState, 'msb' | 'lsb'>;

/** What a song means that has chosen none, whatever bank it has selected. */
const FIRST_PROGRAM: ProgramWish = { program: 0, msb: undefined, lsb: undefined };

/** What became of the programs; `keeps` tells for each note-on row whether its sound is the one asked for. */
export interface ProgramFit {
  readonly moves: readonly ProgramMove[];
  readonly keeps: Uint8Array;
  readonly banksDropped: number;
  /** Channels that were told the program they begin with, which nothing had said. */
  readonly putIn: readonly number[];
}

/**
 * Programs the instrument has not become the nearest it has, with the bank selection that takes. Channels on which
 * all is there are not touched. Before the first program a song means the first of all (common practice, no source);
 * it is put in there, as an instrument may have been left at another.
 */
export function fitPrograms(
  columns: TimelineColumns,
  edits: RowEdits,
  instrument: Instrument,
  drumChannels: readonly number[],
): ProgramFit {
  return new ProgramWalk(columns, edits, instrument, drumChannels).fit();
}

class ProgramWalk {
  readonly #columns: TimelineColumns;
  readonly #edits: RowEdits;
  readonly #instrument: Instrument;
  readonly #drums: readonly number[];
  readonly #states: readonly ChannelState[] = ALL_CHANNELS.map(() => ({
    msb: undefined,
    lsb: undefined,
    program: 0,
    waiting: 0,
    toldMsb: undefined,
    toldLsb: undefined,
    move: undefined,
    begun: false,
  }));
  readonly #moves = new Map<string, ProgramMove>();
  readonly #choices = new Map<string, ProgramChoice | undefined>();
  readonly #keeps: Uint8Array;
  /** Channels with a program or bank that is not there, or with notes before any program. */
  readonly #isTouched: boolean[];
  readonly #putIn: number[] = [];
  #banksDropped = 0;

  constructor(
    columns: TimelineColumns,
    edits: RowEdits,
    instrument: Instrument,
    drumChannels: readonly number[],
  ) {
    this.#columns = columns;
    this.#edits = edits;
    this.#instrument = instrument;
    this.#drums = drumChannels;
    this.#keeps = new Uint8Array(columns.count).fill(1);
    this.#isTouched = this.#touched();
  }

  fit(): ProgramFit {
    const { count, status } = this.#columns;
    for (let row = 0; row < count; row += 1) {
      const channel = status[row]! & 15;
      const kind = status[row]! & 0xf0;
      if (this.#drums.includes(channel)) this.#drumRow(row, channel, kind);
      else if (this.#isTouched[channel]) this.#partRow(row, channel, kind);
    }
    for (const state of this.#states) this.#countBanks(state);
    const moves = [...this.#moves.values()].filter(({ notes }) => notes > 0);
    return { moves, keeps: this.#keeps, banksDropped: this.#banksDropped, putIn: this.#putIn };
  }

  #touched(): boolean[] {
    const { count, status, data1, data2 } = this.#columns;
    const touched = ALL_CHANNELS.map(() => false);
    // A bank that is selected counts from the next program on (MIDI 1.0, Bank Select).
    const selected = ALL_CHANNELS.map((): BankSelection => ({ msb: undefined, lsb: undefined }));
    // Before the first program it is the first of all that has to be said, where anything is known.
    const isWanting = ALL_CHANNELS.map(() => this.#choiceOf(FIRST_PROGRAM) !== undefined);
    for (let row = 0; row < count; row += 1) {
      const channel = status[row]! & 15;
      const kind = status[row]! & 0xf0;
      const bank = selected[channel]!;
      if (kind === 0xb0 && data1[row] === Cc.bankSelect) bank.msb = data2[row]!;
      else if (kind === 0xb0 && data1[row] === Cc.bankSelectFine) bank.lsb = data2[row]!;
      else if (kind === 0xc0) {
        const choice = this.#choiceOf({ ...bank, program: data1[row]! });
        isWanting[channel] = choice !== undefined && choice.why !== 'exact';
      } else if (isNoteOn(this.#columns, row)) touched[channel] ||= isWanting[channel]!;
    }
    return touched;
  }

  #choiceOf(wish: ProgramWish): ProgramChoice | undefined {
    const key = `${wish.msb} ${wish.lsb} ${wish.program}`;
    if (!this.#choices.has(key)) this.#choices.set(key, nearestProgram(wish, this.#instrument));
    return this.#choices.get(key);
  }

  #partRow(row: number, channel: number, kind: number): void {
    const { data1, data2 } = this.#columns;
    if (kind === 0xb0) this.#bankRow(row, channel, data1[row]!, data2[row]!);
    else if (kind === 0xc0) this.#programRow(row, channel, data1[row]!);
    else if (isNoteOn(this.#columns, row)) this.#noteRow(row, channel);
  }

  #bankRow(row: number, channel: number, number: number, value: number): void {
    if (number !== Cc.bankSelect && number !== Cc.bankSelectFine) return;
    const state = this.#states[channel]!;
    if (number === Cc.bankSelect) state.msb = value;
    else state.lsb = value;
    // What selects a bank that is there is put in again, with the program.
    this.#edits.drop(row);
    state.waiting += 1;
  }

  /** Counts what selected a bank that is not there. */
  #countBanks(state: ChannelState): void {
    if (!this.#instrument.banks.some((bank) => isBank(bank, state))) this.#banksDropped += state.waiting;
    state.waiting = 0;
  }

  #programRow(row: number, channel: number, program: number): void {
    const state = this.#states[channel]!;
    state.program = program;
    this.#countBanks(state);
    this.#choose(row, channel, state, false);
  }

  #noteRow(row: number, channel: number): void {
    const state = this.#states[channel]!;
    if (!state.begun) this.#choose(row, channel, state, true);
    if (state.move !== undefined) state.move.notes += 1;
    // Another number of the same sound is what was asked for.
    this.#keeps[row] = state.move === undefined || state.move.why === 'same' ? 1 : 0;
  }

  /** Tells the instrument which program is played from here on. @param isNote the row is the first note, and none was chosen */
  #choose(row: number, channel: number, state: ChannelState, isNote: boolean): void {
    // There is one, or nothing would be touched.
    const choice = this.#choiceOf(isNote ? FIRST_PROGRAM : state)!;
    state.begun = true;
    state.move = this.#moveOf(channel, state.program, choice);
    const { number } = choice.program;
    const track = this.#columns.track[row]!;
    this.#select(row, channel, state, choice, track);
    if (!isNote) this.#edits.put(row, 0xc0 | channel, number, 0);
    else {
      this.#edits.addBefore(row, 0xc0 | channel, number, 0, track);
      if (choice.why === 'exact') this.#putIn.push(channel);
    }
  }

  #select(row: number, channel: number, state: ChannelState, choice: ProgramChoice, track: number): void {
    // Back to a bank that needs no selection: 0, where another has been selected.
    const msb = choice.msb ?? (state.toldMsb ? 0 : undefined);
    const lsb = choice.lsb ?? (state.toldLsb ? 0 : undefined);
    if (msb !== undefined && msb !== state.toldMsb) {
      this.#edits.addBefore(row, 0xb0 | channel, Cc.bankSelect, msb, track);
      state.toldMsb = msb;
    }
    if (lsb !== undefined && lsb !== state.toldLsb) {
      this.#edits.addBefore(row, 0xb0 | channel, Cc.bankSelectFine, lsb, track);
      state.toldLsb = lsb;
    }
  }

  #moveOf(channel: number, from: number, { program, why }: ProgramChoice): ProgramMove | undefined {
    return why === 'exact' ? undefined : this.#gather(channel, from, program.number, program.name, why);
  }

  #gather(channel: number, from: number, to: number, toName: string, why: ProgramMove['why']): ProgramMove {
    const key = `${channel} ${from} ${to} ${why}`;
    const move = this.#moves.get(key) ?? { channel, from, to, toName, why, notes: 0 };
    this.#moves.set(key, move);
    return move;
  }

  #drumRow(row: number, channel: number, kind: number): void {
    const { kits } = this.#instrument.drums;
    const state = this.#states[channel]!;
    if (kind === 0xb0) this.#drumBankRow(row, channel, state);
    else if (kind === 0xc0 && kits.size > 0) {
      const asked = this.#columns.data1[row]!;
      const kit = nearestKit(asked, kits);
      state.move = kit === asked ? undefined : this.#gather(channel, asked, kit, kits.get(kit)!, 'kit');
      this.#edits.put(row, 0xc0 | channel, kit, 0);
    } else if (isNoteOn(this.#columns, row) && state.move !== undefined) {
      state.move.notes += 1;
      this.#keeps[row] = 0;
    }
  }

  /** What makes channel 11 play drums on General MIDI 2 goes with the drums, where it is not known. */
  #drumBankRow(row: number, channel: number, state: ChannelState): void {
    const { data1, data2 } = this.#columns;
    const isMsb = data1[row] === Cc.bankSelect;
    if (isMsb) state.msb = data2[row]!;
    if (!isMsb && data1[row] !== Cc.bankSelectFine) return;
    const isRhythm = channel === SECOND_DRUM_CHANNEL && state.msb === RHYTHM_BANK;
    if (!isRhythm || knowsRhythmBank(this.#instrument)) return;
    this.#edits.drop(row);
    this.#banksDropped += 1;
  }
}

/** The first of the same eight (General MIDI 2 numbers drum sets so), the standard kit, or the first there is. */
function nearestKit(asked: number, kits: ReadonlyMap<number, string>): number {
  return [asked, asked & ~7, 0].find((kit) => kits.has(kit)) ?? Math.min(...kits.keys());
}
