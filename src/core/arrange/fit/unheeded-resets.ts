import type { Instrument } from '../../instrument/instrument.ts';
import { ALL_CHANNELS } from '../../instrument/orchestra.ts';
import { BEND_RANGE_AFTER_RESET, modeReset } from '../../instrument/reset-heard.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { type ChannelMessage, ChannelSettingsSeen } from './channel-settings-seen.ts';
import type { RowEdits } from './row-edits.ts';

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
  /** What the song means, and what the instrument has been told: only mode messages part them. */
  #meant = settingsAtRest();
  #told = settingsAtRest();

  constructor(columns: TimelineColumns, edits: RowEdits, instrument: Instrument) {
    this.#columns = columns;
    this.#edits = edits;
    this.#instrument = instrument;
  }

  /** The instrument goes back to its beginnings: keys are let go, and all is at rest. */
  takeSystemReset(): void {
    this.#strikes.fill(0);
    this.#meant = settingsAtRest();
    this.#told = settingsAtRest();
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
    return kind !== 0xb0 || (this.#instrument.controllers?.has(data1) ?? true);
  }

  #put(row: number, channel: number, [kind, data1, data2]: ChannelMessage): void {
    this.#edits.addBefore(row, kind | channel, data1, data2, this.#columns.track[row]!);
    this.writtenOut += 1;
  }
}

function settingsAtRest(): readonly ChannelSettingsSeen[] {
  return ALL_CHANNELS.map(() => new ChannelSettingsSeen(BEND_RANGE_AFTER_RESET));
}
