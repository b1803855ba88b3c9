import type { Instrument } from '../instrument/instrument.ts';
import {
  BEND_RANGE_AFTER_RESET,
  modeReset,
  resetHeard,
  type SystemReset,
  systemResetAt,
} from '../instrument/reset-heard.ts';
import { Cc, controllerName } from '../midi/controllers.ts';
import { sysExName } from '../midi/universal-sysex.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import type { FindingTally } from './finding-tally.ts';

const NO_PARAMETER = 0x3fff;
const BEND_SENSITIVITY = 0;
/** MIDI 1.0, Table IIIa. */
const PARAMETERS: Readonly<Record<number, string>> = {
  0: 'bend range',
  1: 'fine tuning',
  2: 'coarse tuning',
  3: 'tuning program',
  4: 'tuning bank',
  5: 'modulation depth',
};

/** Written apart: judged by the bank, or by the parameter they select. */
const SELECTORS: ReadonlySet<number> = new Set([
  Cc.bankSelect,
  Cc.bankSelectFine,
  Cc.dataEntry,
  Cc.dataEntryFine,
  96,
  97,
  Cc.nrpnFine,
  Cc.nrpn,
  Cc.rpnFine,
  Cc.rpn,
]);

/** Controllers, parameters and resets that an instrument does not follow, and bends whose range differs. */
export class UnheededMessages {
  readonly #columns: TimelineColumns;
  readonly #instrument: Instrument;
  readonly #tally: FindingTally;
  readonly #othersResets: ReadonlySet<SystemReset>;
  readonly #heard: readonly boolean[];
  readonly #parameter = new Uint16Array(16).fill(NO_PARAMETER);
  readonly #range: Float64Array;
  /** Range that the song thinks is in force: General MIDI's two semitones until it sets another. */
  readonly #wished = new Float64Array(16).fill(2);
  readonly #bend = new Uint16Array(16).fill(8192);

  constructor(
    columns: TimelineColumns,
    instrument: Instrument,
    tally: FindingTally,
    othersResets: ReadonlySet<SystemReset>,
  ) {
    this.#othersResets = othersResets;
    this.#columns = columns;
    this.#instrument = instrument;
    this.#tally = tally;
    this.#heard = Array.from({ length: 16 }, (_, channel) => instrument.channels.includes(channel));
    this.#range = new Float64Array(16).fill(instrument.bendRangeSemitones);
  }

  take(row: number): void {
    const { status, data1, data2 } = this.#columns;
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 0x0f;
    if (kind === 0xf0) this.#judgeSysEx(row);
    else if (!this.#heard[channel]) return;
    else if (kind === 0xb0) this.#judgeController(row, channel, data1[row]!, data2[row]!);
    else if (kind === 0xe0) this.#bend[channel] = data1[row]! | (data2[row]! << 7);
    else if (this.#bend[channel] !== 8192 && isNoteOn(this.#columns, row)) this.#judgeBend(row, channel);
    if (kind === 0xe0 && this.#bend[channel] !== 8192) this.#judgeBend(row, channel, 0);
  }

  #judgeBend(row: number, channel: number, count = 1): void {
    const [range, wished] = [this.#range[channel]!, this.#wished[channel]!];
    if (range === wished) return;
    this.#tally.add('bend-range', channel, row, `(${range} semitones here, ${wished} meant)`, count);
  }

  #judgeController(row: number, channel: number, number: number, value: number): void {
    const { controllers, registeredParameters, resets } = this.#instrument;
    if (number === Cc.rpn) this.#parameter[channel] = (this.#parameter[channel]! & 0x7f) | (value << 7);
    else if (number === Cc.rpnFine) this.#parameter[channel] = (this.#parameter[channel]! & 0x3f80) | value;
    else if (number === Cc.nrpn || number === Cc.nrpnFine) this.#parameter[channel] = NO_PARAMETER;
    else if (number === Cc.dataEntry && this.#parameter[channel] !== NO_PARAMETER) {
      const parameter = this.#parameter[channel]!;
      const isFollowed = registeredParameters?.has(parameter) ?? true;
      if (!isFollowed)
        this.#tally.add(
          'parameter-not-followed',
          channel,
          row,
          PARAMETERS[parameter] ?? `${parameter >> 7}/${parameter & 127}`,
        );
      if (parameter === BEND_SENSITIVITY) {
        this.#wished[channel] = value;
        if (isFollowed) this.#range[channel] = value;
      }
    }
    const reset = modeReset(number);
    if (reset !== undefined) {
      if (!resets.has(reset)) this.#tally.add('reset-not-followed', channel, row, controllerName(number));
    } else if (controllers !== undefined && !controllers.has(number) && !SELECTORS.has(number)) {
      this.#tally.add('controller-not-followed', channel, row, controllerName(number));
    }
  }

  #judgeSysEx(row: number): void {
    const reset = systemResetAt(this.#columns, row);
    if (reset === undefined) return;
    const heard = resetHeard(reset, this.#instrument.resets);
    if (reset !== 'gm-off') {
      this.#wished.fill(BEND_RANGE_AFTER_RESET);
      if (heard === reset) this.#range.fill(BEND_RANGE_AFTER_RESET);
    }
    if (heard !== reset && !this.#othersResets.has(reset))
      this.#tally.add('reset-not-followed', -1, row, `${sysExName(reset)}${butFollows(heard)}`);
  }
}

function butFollows(heard: SystemReset | undefined): string {
  if (heard === undefined) return '';
  return ` but ${sysExName(heard)}`;
}
