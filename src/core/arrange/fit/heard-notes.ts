import { Cc, isSwitchOn } from '../../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';

/**
 * The notes of a song as they are heard: a key sounds on under a pedal, and until it is struck again.
 *
 *   onRow    u32  row of the strike, ascending
 *   endRow   u32  row with which it ends: heard up to that row's time; `columns.count` where nothing ends it
 *   channel, key, velocity, program  u8   as at the strike
 *   bank     u16  `msb << 7 | lsb` as selected when that program was; 0 where nothing was
 *   loudness f64  velocity · volume · expression at the strike, each of 127; 0–1
 *   drum     u8   1 on a channel that plays drums
 */
export interface HeardNotes {
  readonly count: number;
  readonly onRow: Uint32Array;
  readonly endRow: Uint32Array;
  readonly channel: Uint8Array;
  readonly key: Uint8Array;
  readonly velocity: Uint8Array;
  readonly program: Uint8Array;
  readonly bank: Uint16Array;
  readonly loudness: Float64Array;
  readonly drum: Uint8Array;
}

/** A struck drum has sounded for good after half a second, whatever its note-off says (common practice, no source). */
export const DRUM_MICROS = 500_000;

const KEYS = 2048;
const NONE = -1;
/** Volume 100 and expression 127 where a song says nothing (GM1 developer guidelines). */
const FIRST_VOLUME = 100;

export function heardNotes(columns: TimelineColumns, drumChannels: readonly number[]): HeardNotes {
  return new NoteWalk(columns, drumChannels).notes();
}

class NoteWalk {
  readonly #columns: TimelineColumns;
  readonly #notes: HeardNotes;
  readonly #isDrum = new Uint8Array(16);
  /** [channel · 128 + key] note that sounds, strikes not let go, whether it sounds on only by a pedal. */
  readonly #sounding = new Int32Array(KEYS).fill(NONE);
  readonly #strikes = new Uint16Array(KEYS);
  readonly #caught = new Uint8Array(KEYS);
  readonly #pedals = new Uint8Array(16);
  readonly #sostenuto = new Uint8Array(16);
  readonly #volume = new Uint8Array(16).fill(FIRST_VOLUME);
  readonly #expression = new Uint8Array(16).fill(127);
  readonly #program = new Uint8Array(16);
  readonly #bank = new Uint16Array(16);
  readonly #selected = new Uint16Array(16);

  constructor(columns: TimelineColumns, drumChannels: readonly number[]) {
    let count = 0;
    for (let row = 0; row < columns.count; row += 1) if (isNoteOn(columns, row)) count += 1;
    this.#columns = columns;
    for (const channel of drumChannels) this.#isDrum[channel] = 1;
    this.#notes = {
      count,
      onRow: new Uint32Array(count),
      endRow: new Uint32Array(count).fill(columns.count),
      channel: new Uint8Array(count),
      key: new Uint8Array(count),
      velocity: new Uint8Array(count),
      program: new Uint8Array(count),
      bank: new Uint16Array(count),
      loudness: new Float64Array(count),
      drum: new Uint8Array(count),
    };
  }

  notes(): HeardNotes {
    const { count, status, data1, data2 } = this.#columns;
    let note = 0;
    for (let row = 0; row < count; row += 1) {
      const kind = status[row]! & 0xf0;
      const channel = status[row]! & 0x0f;
      if (kind > 0xc0) continue;
      if (isNoteOn(this.#columns, row)) this.#strike(note++, row, channel);
      else if (isNoteOff(this.#columns, row)) this.#release(row, channel, data1[row]!);
      else if (kind === 0xb0) this.#control(row, channel, data1[row]!, data2[row]!);
      else if (kind === 0xc0) {
        this.#program[channel] = data1[row]!;
        this.#bank[channel] = this.#selected[channel]!;
      }
    }
    this.#endDrums();
    return this.#notes;
  }

  #strike(note: number, row: number, channel: number): void {
    const notes = this.#notes;
    const key = this.#columns.data1[row]!;
    const velocity = this.#columns.data2[row]!;
    const place = channel * 128 + key;
    this.#end(place, row);
    this.#sounding[place] = note;
    this.#strikes[place]! += 1;
    this.#caught[place] = 0;
    notes.onRow[note] = row;
    notes.channel[note] = channel;
    notes.key[note] = key;
    notes.velocity[note] = velocity;
    notes.program[note] = this.#program[channel]!;
    notes.bank[note] = this.#bank[channel]!;
    notes.loudness[note] = (velocity * this.#volume[channel]! * this.#expression[channel]!) / 127 ** 3;
    notes.drum[note] = this.#isDrum[channel]!;
  }

  #release(row: number, channel: number, key: number): void {
    const place = channel * 128 + key;
    if (this.#strikes[place]! > 0) this.#strikes[place]! -= 1;
    if (this.#strikes[place] === 0) this.#letGo(place, row, channel);
  }

  #letGo(place: number, row: number, channel: number): void {
    if (this.#pedals[channel] === 0 && this.#caught[place] === 0) this.#end(place, row);
  }

  #end(place: number, row: number): void {
    const note = this.#sounding[place]!;
    if (note !== NONE) this.#notes.endRow[note] = row;
    this.#sounding[place] = NONE;
  }

  #control(row: number, channel: number, number: number, value: number): void {
    if (number === Cc.volume) this.#volume[channel] = value;
    else if (number === Cc.expression) this.#expression[channel] = value;
    else if (number === Cc.bankSelect)
      this.#selected[channel] = (this.#selected[channel]! & 127) | (value << 7);
    else if (number === Cc.bankSelectFine) {
      this.#selected[channel] = (this.#selected[channel]! & 0x3f80) | value;
    } else if (number === Cc.damper) this.#pedal(row, channel, 1, isSwitchOn(value));
    else if (number === Cc.hold2) this.#pedal(row, channel, 2, isSwitchOn(value));
    else if (number === Cc.sostenuto) this.#catch(row, channel, isSwitchOn(value));
    else if (number === Cc.allSoundOff) this.#endAll(row, channel);
    else if (number === Cc.resetAllControllers) {
      this.#expression[channel] = 127;
      this.#pedals[channel] = 0;
      this.#catch(row, channel, false);
      this.#liftAll(row, channel);
    } else if (number >= Cc.allNotesOff) {
      this.#strikes.fill(0, channel * 128, channel * 128 + 128);
      this.#liftAll(row, channel);
    }
  }

  #pedal(row: number, channel: number, bit: number, on: boolean): void {
    const before = this.#pedals[channel]!;
    this.#pedals[channel] = on ? before | bit : before & ~bit;
    if (before !== 0 && this.#pedals[channel] === 0) this.#liftAll(row, channel);
  }

  #catch(row: number, channel: number, on: boolean): void {
    if (on === (this.#sostenuto[channel] === 1)) return;
    this.#sostenuto[channel] = on ? 1 : 0;
    for (let place = channel * 128; place < channel * 128 + 128; place += 1) {
      this.#caught[place] = on && this.#strikes[place]! > 0 ? 1 : 0;
    }
    if (!on) this.#liftAll(row, channel);
  }

  #liftAll(row: number, channel: number): void {
    for (let place = channel * 128; place < channel * 128 + 128; place += 1) {
      if (this.#sounding[place] !== NONE && this.#strikes[place] === 0) this.#letGo(place, row, channel);
    }
  }

  #endAll(row: number, channel: number): void {
    for (let place = channel * 128; place < channel * 128 + 128; place += 1) {
      this.#end(place, row);
      this.#strikes[place] = 0;
    }
  }

  #endDrums(): void {
    const { count, micros } = this.#columns;
    const { onRow, endRow, drum } = this.#notes;
    let row = 0;
    for (let note = 0; note < this.#notes.count; note += 1) {
      if (drum[note] === 0) continue;
      const over = micros[onRow[note]!]! + DRUM_MICROS;
      row = Math.max(row, onRow[note]! + 1);
      while (row < count && micros[row]! < over) row += 1;
      if (row < endRow[note]!) endRow[note] = row;
    }
  }
}
