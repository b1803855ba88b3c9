import type { Instrument } from '../../instrument/instrument.ts';
import {
  BEND_RANGE_AFTER_RESET,
  modeReset,
  resetHeard,
  SYSTEM_RESET_SUB_ID,
  type SystemReset,
  systemResetAt,
} from '../../instrument/reset-heard.ts';
import { Cc } from '../../midi/controllers.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { RowEdits } from './row-edits.ts';
import { UnheededResets } from './unheeded-resets.ts';

export interface MessageFit {
  /** Controller → how many of it were left out. */
  readonly controllers: ReadonlyMap<number, number>;
  /** Registered parameter (`msb << 7 | lsb`) → messages left out. */
  readonly parameters: ReadonlyMap<number, number>;
  /** System resets left out: the instrument follows none. */
  readonly resets: number;
  readonly resetMoves: readonly ResetMove[];
  /** Messages put in for what a reset that is not followed would have done. */
  readonly resetsWrittenOut: number;
  /** Channels that were given the bend range they assume, and those whose bends were made to fit another. */
  readonly rangesPutIn: readonly number[];
  readonly bendsScaled: readonly number[];
  /** It cannot be told a range, and the song bends: its bends now mean the instrument's own. */
  readonly bendsMeanOwn: boolean;
}

/** Where every message stays as it is. */
export const NOTHING_SAID: MessageFit = {
  controllers: new Map(),
  parameters: new Map(),
  resets: 0,
  resetMoves: [],
  resetsWrittenOut: 0,
  rangesPutIn: [],
  bendsScaled: [],
  bendsMeanOwn: false,
};

/** A system reset and the one that is sent in its place. */
export interface ResetMove {
  readonly from: SystemReset;
  readonly to: SystemReset;
  count: number;
}

/** A registered parameter that is not chosen, or was chosen by NRPN. */
const NULL_PARAMETER = 0x3fff;
const BEND_RANGE = 0;
const CENTRE = 8192;
/** Behind F0: 7E, device, 09. */
const SUB_ID_AT = 3;
const ENTRIES = [Cc.dataEntry, Cc.dataEntryFine, Cc.dataIncrement, Cc.dataDecrement] as readonly number[];
const CHOICES = [Cc.rpn, Cc.rpnFine] as readonly number[];

/**
 * What an instrument does not follow is left out; the bend range a song means is put in where the instrument's own
 * differs, or, where it cannot be told, the bends are made to reach as far.
 * @param songBendRanges [16] semitones the song means on each channel where it sets no range
 * @param keptResets system resets that stay as they are, be it for others
 */
export function fitMessages(
  columns: TimelineColumns,
  edits: RowEdits,
  instrument: Instrument,
  songBendRanges: readonly number[],
  keptResets: ReadonlySet<SystemReset>,
): MessageFit {
  return new MessageWalk(columns, edits, instrument, songBendRanges, keptResets).fit();
}

class MessageWalk {
  readonly #columns: TimelineColumns;
  readonly #edits: RowEdits;
  readonly #instrument: Instrument;
  readonly #controllers = new Map<number, number>();
  readonly #parameters = new Map<number, number>();
  readonly #chosen = new Uint16Array(16).fill(NULL_PARAMETER);
  /** Bend range in force: as the song means it, and on the instrument. */
  readonly #range: Float64Array;
  readonly #told: Float64Array;
  readonly #isScaled = new Uint8Array(16);
  readonly #isPutIn = new Uint8Array(16);
  readonly #unheeded: UnheededResets;
  readonly #keptResets: ReadonlySet<SystemReset>;
  readonly #resetMoves: ResetMove[] = [];
  #resets = 0;
  #bendsMeanOwn = false;

  constructor(
    columns: TimelineColumns,
    edits: RowEdits,
    instrument: Instrument,
    songBendRanges: readonly number[],
    keptResets: ReadonlySet<SystemReset>,
  ) {
    this.#columns = columns;
    this.#edits = edits;
    this.#instrument = instrument;
    this.#range = Float64Array.from(songBendRanges);
    this.#told = new Float64Array(16).fill(instrument.bendRangeSemitones);
    this.#keptResets = keptResets;
    this.#unheeded = new UnheededResets(columns, edits, instrument);
  }

  fit(): MessageFit {
    const { count, status, data1, data2 } = this.#columns;
    for (let row = 0; row < count; row += 1) {
      const channel = status[row]! & 15;
      const kind = status[row]! & 0xf0;
      this.#unheeded.take(row);
      if (kind === 0xb0) this.#control(row, channel, data1[row]!, data2[row]!);
      else if (kind === 0xe0) this.#bend(row, channel, data1[row]! | (data2[row]! << 7));
      else if (status[row] === 0xf0) this.#sysEx(row);
    }
    const channels = (marks: Uint8Array) => Array.from(marks.keys()).filter((channel) => marks[channel]);
    return {
      controllers: this.#controllers,
      parameters: this.#parameters,
      resets: this.#resets,
      resetMoves: this.#resetMoves,
      resetsWrittenOut: this.#unheeded.writtenOut,
      rangesPutIn: channels(this.#isPutIn),
      bendsScaled: channels(this.#isScaled),
      bendsMeanOwn: this.#bendsMeanOwn,
    };
  }

  #control(row: number, channel: number, number: number, value: number): void {
    const { controllers, resets } = this.#instrument;
    const mode = modeReset(number);
    if (mode !== undefined) {
      if (!resets.has(mode)) this.#leaveOut(row, number);
    } else if (!this.#parameterRow(row, channel, number, value) && !isSelection(number)) {
      if (controllers !== undefined && !controllers.has(number)) this.#leaveOut(row, number);
    }
  }

  #leaveOut(row: number, number: number): void {
    this.#edits.drop(row);
    this.#controllers.set(number, (this.#controllers.get(number) ?? 0) + 1);
  }

  /** @returns true where the row has to do with a registered parameter, and has been dealt with */
  #parameterRow(row: number, channel: number, number: number, value: number): boolean {
    const before = this.#chosen[channel]!;
    if (number === Cc.nrpn || number === Cc.nrpnFine) this.#chosen[channel] = NULL_PARAMETER;
    if (number === Cc.rpn) this.#chosen[channel] = (before & 0x7f) | (value << 7);
    if (number === Cc.rpnFine) this.#chosen[channel] = (before & 0x3f80) | value;
    const chosen = this.#chosen[channel]!;
    if (!CHOICES.includes(number) && !(ENTRIES.includes(number) && chosen !== NULL_PARAMETER)) return false;
    const { registeredParameters: followed } = this.#instrument;
    if (chosen === BEND_RANGE && ENTRIES.includes(number)) {
      this.#setRange(channel, number, value);
      if (this.#canBeTold) this.#told[channel] = this.#range[channel]!;
    }
    if (followed === undefined || followed.has(chosen)) return true;
    // Choices go only where nothing at all is followed: a half of one may be the half of another.
    if (CHOICES.includes(number) && followed.size > 0) return true;
    this.#edits.drop(row);
    const said = chosen === NULL_PARAMETER ? before : chosen;
    this.#parameters.set(said, (this.#parameters.get(said) ?? 0) + 1);
    return true;
  }

  #setRange(channel: number, number: number, value: number): void {
    if (number === Cc.dataEntry) this.#range[channel] = value;
    if (number === Cc.dataEntryFine) {
      this.#range[channel] = Math.floor(this.#range[channel]!) + value / 100;
    }
  }

  #bend(row: number, channel: number, value: number): void {
    const means = this.#range[channel]!;
    const own = this.#told[channel]!;
    if (this.#canBeTold) {
      if (means === own || value === CENTRE) return;
      this.#putRangeIn(row, channel, means);
      return;
    }
    if (value !== CENTRE) this.#bendsMeanOwn = true;
    if (means !== own && value !== CENTRE) {
      const bent = Math.round(CENTRE + ((value - CENTRE) * means) / Math.max(1 / 64, own));
      const held = Math.max(0, Math.min(16_383, bent));
      this.#edits.put(row, 0xe0 | channel, held & 0x7f, held >> 7);
      this.#isScaled[channel] = 1;
    }
  }

  /** RPN 00 00, its value, and the null parameter after it (MIDI 1.0, p. 17; GM1 developer guidelines). */
  #putRangeIn(row: number, channel: number, semitones: number): void {
    const cents = Math.round((semitones % 1) * 100);
    for (const [number, value] of [
      [Cc.rpn, 0],
      [Cc.rpnFine, 0],
      [Cc.dataEntry, Math.floor(semitones)],
      [Cc.dataEntryFine, cents],
      [Cc.rpn, 127],
      [Cc.rpnFine, 127],
    ] as const) {
      this.#edits.addBefore(row, 0xb0 | channel, number, value, this.#columns.track[row]!);
    }
    this.#told[channel] = semitones;
    this.#isPutIn[channel] = 1;
  }

  /** A General MIDI reset stays, becomes the one that is followed, or is left out. */
  #sysEx(row: number): void {
    const from = systemResetAt(this.#columns, row);
    if (from === undefined) return;
    const heard = resetHeard(from, this.#instrument.resets);
    if (this.#keptResets.has(from) && heard !== from) {
      // Another instrument's. Bends that were made to mean this one's own range go on meaning it.
      if (from !== 'gm-off' && this.#canBeTold) this.#rangesAtRest(false);
      return;
    }
    if (from !== 'gm-off') this.#rangesAtRest(heard !== undefined);
    if (heard === undefined) {
      this.#edits.drop(row);
      this.#resets += 1;
      return;
    }
    this.#unheeded.takeSystemReset();
    if (heard === from) return;
    this.#edits.putSysExByte(row, SUB_ID_AT, SYSTEM_RESET_SUB_ID[heard]);
    const move = this.#resetMoves.find((one) => one.from === from && one.to === heard);
    if (move === undefined) this.#resetMoves.push({ from, to: heard, count: 1 });
    else move.count += 1;
  }

  /** How far its bends reach. */
  get #canBeTold(): boolean {
    return this.#instrument.registeredParameters?.has(BEND_RANGE) ?? true;
  }

  #rangesAtRest(isHeard: boolean): void {
    this.#range.fill(BEND_RANGE_AFTER_RESET);
    if (isHeard) this.#told.fill(BEND_RANGE_AFTER_RESET);
  }
}

/** Banks are the programs' affair. */
function isSelection(number: number): boolean {
  return number === Cc.bankSelect || number === Cc.bankSelectFine;
}
