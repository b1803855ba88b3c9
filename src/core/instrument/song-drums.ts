import { Cc } from '../midi/controllers.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { DRUM_CHANNEL } from './general-midi.ts';
import type { Instrument } from './instrument.ts';
import { systemResetAt } from './reset-heard.ts';

/** Bank Select MSB with which General MIDI 2 chooses drums (RP-024). */
export const RHYTHM_BANK = 120;

/** The other channel on which General MIDI 2 may have drums: 11, counted from 0 (RP-024). */
export const SECOND_DRUM_CHANNEL = 10;

/**
 * Channels that a song means as drums, ascending: channel 10, and channel 11 where all its notes come after a program
 * of bank 120 (General MIDI 2; after General MIDI System On or Off bank selections count for nothing there). A channel
 * that is drums for a while and a melody for a while is taken as a melody.
 */
export function songDrumChannels(columns: TimelineColumns): readonly number[] {
  const { count, status } = columns;
  const bank = new RhythmBank(columns);
  let isDrums = false;
  for (let row = 0; row < count; row += 1) {
    if (status[row] === 0xf0 || (status[row]! & 15) === SECOND_DRUM_CHANNEL) bank.take(row);
    if (status[row] !== (0x90 | SECOND_DRUM_CHANNEL) || !isNoteOn(columns, row)) continue;
    if (!bank.isRhythm[SECOND_DRUM_CHANNEL]) return [DRUM_CHANNEL];
    isDrums = true;
  }
  return isDrums ? [DRUM_CHANNEL, SECOND_DRUM_CHANNEL] : [DRUM_CHANNEL];
}

/** On which channels a program of bank 120 is in force, as the rows go by. */
export class RhythmBank {
  /** [16] */
  readonly isRhythm = new Array<boolean>(16).fill(false);
  readonly #columns: TimelineColumns;
  readonly #msb = new Int16Array(16).fill(-1);
  #heedsBanks = true;

  constructor(columns: TimelineColumns) {
    this.#columns = columns;
  }

  take(row: number): void {
    const { status, data1, data2 } = this.#columns;
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 15;
    if (status[row] === 0xf0) this.#reset(row);
    else if (kind === 0xb0 && data1[row] === Cc.bankSelect) this.#msb[channel] = data2[row]!;
    else if (kind === 0xc0) this.isRhythm[channel] = this.#heedsBanks && this.#msb[channel] === RHYTHM_BANK;
  }

  #reset(row: number): void {
    const reset = systemResetAt(this.#columns, row);
    if (reset === undefined) return;
    this.#heedsBanks = reset === 'gm2-on';
    this.#msb.fill(-1);
    this.isRhythm.fill(false);
  }
}

/** It follows General MIDI 2 System On, and so plays drums on channel 11 too once bank 120 is chosen there. */
export function knowsRhythmBank({ resets, drums }: Instrument): boolean {
  return resets.has('gm2') && drums.channels.length > 0;
}

/** The instrument as a song sets it up that has its drums on these channels. */
export function withSongDrums(instrument: Instrument, drumChannels: readonly number[]): Instrument {
  const { drums, channels } = instrument;
  const isThere = drums.channels.includes(SECOND_DRUM_CHANNEL) || !channels.includes(SECOND_DRUM_CHANNEL);
  if (!drumChannels.includes(SECOND_DRUM_CHANNEL) || isThere || !knowsRhythmBank(instrument)) {
    return instrument;
  }
  const all = [...drums.channels, SECOND_DRUM_CHANNEL].sort((a, b) => a - b);
  return { ...instrument, drums: { ...drums, channels: all } };
}
