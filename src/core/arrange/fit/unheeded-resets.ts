import type { Instrument, ResetKind } from '../../instrument/instrument.ts';
import { Cc } from '../../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { type ChannelMessage, ChannelSettingsSeen } from './channel-settings-seen.ts';
import type { RowEdits } from './row-edits.ts';

const MODE_RESETS: Readonly<Record<number, ResetKind>> = {
  [Cc.allSoundOff]: 'all-sound-off',
  [Cc.resetAllControllers]: 'reset-all-controllers',
  [Cc.allNotesOff]: 'all-notes-off',
};
const PARAMETER_ROWS: readonly number[] = [Cc.rpn, Cc.rpnFine, Cc.dataEntry];
const BEND_RANGE = 0;

/** What a reset is, in a mode message; undefined for any other controller. */
export function modeReset(controller: number): ResetKind | undefined {
  return MODE_RESETS[controller];
}

/**
 * Writes out what a mode message would have done on an instrument that does not follow it: note-offs for the keys that
 * are held, controllers and bend back to rest. Rows are taken in their order, before anything else is done with them.
 */
export class UnheededResets {
  /** Messages put in. */
  writtenOut = 0;
  readonly #columns: TimelineColumns;
  readonly #edits: RowEdits;
  readonly #instrument: Instrument;
  /** [channel · 128 + key] strikes not let go. */
  readonly #strikes = new Uint16Array(2048);
  /** What the song means, and what the instrument has been told. */
  readonly #meant: readonly ChannelSettingsSeen[];
  readonly #told: readonly ChannelSettingsSeen[];

  constructor(columns: TimelineColumns, edits: RowEdits, instrument: Instrument, bendRange: number) {
    this.#columns = columns;
    this.#edits = edits;
    this.#instrument = instrument;
    const settings = () => Array.from({ length: 16 }, () => new ChannelSettingsSeen(bendRange));
    this.#meant = settings();
    this.#told = settings();
  }

  take(row: number): void {
    const { status, data1, data2 } = this.#columns;
    if (status[row]! >= 0xf0) return;
    const channel = status[row]! & 15;
    const kind = status[row]! & 0xf0;
    const place = channel * 128 + data1[row]!;
    if (isNoteOn(this.#columns, row)) this.#strikes[place]! += 1;
    else if (isNoteOff(this.#columns, row)) this.#strikes[place] = Math.max(0, this.#strikes[place]! - 1);
    const reset = kind === 0xb0 ? modeReset(data1[row]!) : undefined;
    const isHeeded = reset === undefined || this.#instrument.resets.has(reset);
    this.#meant[channel]!.take(kind, data1[row]!, data2[row]!);
    if (isHeeded) this.#told[channel]!.take(kind, data1[row]!, data2[row]!);
    if (reset === undefined) return;
    if (reset === 'reset-all-controllers') this.#restControllers(row, channel);
    else this.#endNotes(row, channel, isHeeded);
  }

  #restControllers(row: number, channel: number): void {
    for (const message of this.#meant[channel]!.messagesFrom(this.#told[channel]!)) {
      if (this.#isFollowed(message)) this.#put(row, channel, message);
    }
  }

  #endNotes(row: number, channel: number, isHeeded: boolean): void {
    for (let key = 0; key < 128; key += 1) {
      const strikes = this.#strikes[channel * 128 + key]!;
      for (let strike = 0; strike < strikes && !isHeeded; strike += 1)
        this.#put(row, channel, [0x80, key, 64]);
      this.#strikes[channel * 128 + key] = 0;
    }
  }

  #isFollowed([kind, data1]: ChannelMessage): boolean {
    const { controllers, registeredParameters } = this.#instrument;
    if (kind !== 0xb0) return true;
    if (PARAMETER_ROWS.includes(data1)) return registeredParameters?.has(BEND_RANGE) ?? true;
    return controllers?.has(data1) ?? true;
  }

  #put(row: number, channel: number, [kind, data1, data2]: ChannelMessage): void {
    this.#edits.addBefore(row, kind | channel, data1, data2, this.#columns.track[row]!);
    this.writtenOut += 1;
  }
}
