import type { Instrument } from '../../instrument/instrument.ts';
import { Cc } from '../../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import { NO_PARTNER, type TimelineColumns } from '../../timeline/timeline.ts';
import type { PlacedStretch } from './assign-parts.ts';
import { ChannelSettingsSeen } from './channel-settings-seen.ts';
import { type DrumPlaces, DrumRouting } from './drum-routing.ts';
import type { HeardNotes } from './heard-notes.ts';
import { type ChannelMove, ChannelMoves } from './moves.ts';
import { bankOf, programOf, soundOf } from './part-of.ts';
import { NO_SOUND, PartPlaces, type Place } from './part-places.ts';
import type { ChannelDisturbance, TimeOf } from './part-stretches.ts';
import { programDistance } from './program-distance.ts';
import type { RowEdits } from './row-edits.ts';

export interface RoutingInput {
  readonly columns: TimelineColumns;
  readonly edits: RowEdits;
  readonly notes: HeardNotes;
  /** [notes] General MIDI program the sound stands nearest to. */
  readonly like: Uint8Array;
  readonly instrument: Instrument;
  readonly still: ChannelDisturbance;
  readonly timeOf: TimeOf;
  readonly pauseMicros: number;
  /** In order of time. */
  readonly placed: readonly PlacedStretch[];
  readonly drums: DrumPlaces;
  readonly onlyDrums: boolean;
}

const DEFAULT_BANK = 0;

/** One walk over the rows that sends every message to the channel where its stretch was placed. */
export class PartRouting {
  readonly #in: RoutingInput;
  readonly #places: PartPlaces;
  readonly #settings: readonly ChannelSettingsSeen[];
  readonly #moves = new ChannelMoves();
  readonly #drums: DrumRouting;
  readonly #otherProgram: number[] = [];
  readonly #withoutPart: number[] = [];

  constructor(input: RoutingInput) {
    this.#in = input;
    const { notes, placed, pauseMicros, timeOf, instrument } = input;
    const range = instrument.bendRangeSemitones;
    this.#settings = Array.from({ length: 16 }, () => new ChannelSettingsSeen(range));
    this.#places = new PartPlaces(notes, placed, pauseMicros, timeOf, range);
    const hasKits = instrument.drums.kits.size > 0;
    this.#drums = new DrumRouting(input.columns, input.edits, input.drums, hasKits, this.#moves);
  }

  route(): {
    readonly moves: readonly ChannelMove[];
    readonly otherProgram: readonly number[];
    readonly withoutPart: readonly number[];
    readonly keyTaken: readonly number[];
  } {
    const { columns, onlyDrums } = this.#in;
    let note = -1;
    for (let row = 0; row < columns.count; row += 1) {
      this.#turnPlaces(row);
      const status = columns.status[row]!;
      const isStrike = isNoteOn(columns, row);
      if (isStrike) note += 1;
      if (status >= 0xf0) continue;
      if (this.#drums.takes(status & 15)) this.#drums.row(row, isStrike);
      else if (onlyDrums) this.#besideDrums(row, status & 15);
      else if (isStrike) this.#noteRow(row, note);
      else if (isNoteOff(columns, row)) this.#offRow(row);
      else this.#settingRow(row);
    }
    return {
      moves: this.#moves.all(),
      otherProgram: [...this.#otherProgram, ...this.#drums.otherKit],
      withoutPart: this.#withoutPart,
      keyTaken: this.#drums.keyTaken,
    };
  }

  /** No melody plays where the drums are now; what was sent to set one up would set the drums up. */
  #besideDrums(row: number, channel: number): void {
    if (this.#in.instrument.drums.channels.includes(channel)) this.#in.edits.drop(row);
  }

  #turnPlaces(row: number): void {
    for (const place of this.#places.all) {
      const turn = place.stretches[place.next];
      if (turn === undefined || turn.position > row) continue;
      place.next += 1;
      this.#setUp(place, turn.placed, row);
    }
  }

  #setUp(place: Place, { stretch }: PlacedStretch, row: number): void {
    const { edits, columns, pauseMicros } = this.#in;
    const track = columns.track[stretch.startRow]!;
    // After the row before, which keeps the pause; before the first row of all there is none.
    const add = (kind: number, data1: number, data2: number) => {
      if (row > 0 && pauseMicros > 0) edits.addAfter(row - 1, kind | place.channel, data1, data2, track);
      else edits.addBefore(row, kind | place.channel, data1, data2, track);
    };
    const { sound } = stretch;
    const bank = bankOf(sound);
    if (bank !== (place.sound === NO_SOUND ? DEFAULT_BANK : bankOf(place.sound))) {
      // Only the halves of a selection that the instrument heeds.
      const { banks } = this.#in.instrument;
      if (banks.some(({ msb }) => msb !== undefined)) add(0xb0, Cc.bankSelect, bank >> 7);
      if (banks.some(({ lsb }) => lsb !== undefined)) add(0xb0, Cc.bankSelectFine, bank & 127);
    }
    if (sound !== place.sound) add(0xc0, programOf(sound), 0);
    place.sound = sound;
    place.like = this.#in.like[stretch.notes[0]!]!;
    place.leader = stretch.leader;
    place.setUpTick = columns.tick[row]!;
    for (const message of this.#settings[stretch.leader]!.messagesFrom(place.settings)) add(...message);
  }

  #settingRow(row: number): void {
    const { columns, edits } = this.#in;
    const { status, data1, data2, track } = columns;
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 15;
    const isProgram = kind === 0xc0 || (kind === 0xb0 && (data1[row] === Cc.bankSelect || data1[row] === 32));
    this.#settings[channel]!.take(kind, data1[row]!, data2[row]!);
    const led = isProgram ? [] : this.#places.all.filter(({ leader }) => leader === channel);
    if (led.length === 0) edits.drop(row);
    for (const [index, place] of led.entries()) {
      place.settings.take(kind, data1[row]!, data2[row]!);
      if (index === 0) edits.put(row, kind | place.channel, data1[row]!, data2[row]!);
      else edits.addBefore(row, kind | place.channel, data1[row]!, data2[row]!, track[row]!);
    }
  }

  #noteRow(row: number, note: number): void {
    const { notes } = this.#in;
    const own = this.#places.placeOf(note);
    const place = own ?? this.#hostOf(note, row);
    const from = notes.channel[note]!;
    if (place === undefined) {
      this.#withoutPart.push(row);
      this.#dropNote(row);
      return;
    }
    this.#send(row, note, place);
    const isGuest = own === undefined;
    if (isGuest) place.guestUntil[notes.key[note]!] = notes.endRow[note]!;
    const isOther = isGuest && place.sound !== soundOf(notes, note);
    if (isOther) this.#otherProgram.push(row);
    if (place.channel !== from || isOther) {
      this.#moves.gather(from, place.channel, isOther ? 'other-program' : 'program');
    }
  }

  #send(row: number, note: number, place: Place): void {
    const { columns, edits, notes } = this.#in;
    const { status, data1, data2, partner } = columns;
    const from = notes.channel[note]!;
    let velocity = data2[row]!;
    if (from !== place.leader) {
      // It sounds with the other's volume and expression: the strike makes up for it.
      const ratio = this.#settings[from]!.loudness / place.settings.loudness;
      velocity = Math.max(1, Math.min(127, Math.round(velocity * ratio)));
    }
    edits.put(row, 0x90 | place.channel, data1[row]!, velocity);
    const off = partner[row]!;
    if (off !== NO_PARTNER) {
      edits.put(off, (status[off]! & 0xf0) | place.channel, data1[off]!, data2[off]!);
    }
  }

  #offRow(row: number): void {
    if (this.#in.columns.partner[row] === NO_PARTNER) this.#in.edits.drop(row);
  }

  #dropNote(row: number): void {
    const { columns, edits } = this.#in;
    edits.drop(row);
    if (columns.partner[row] !== NO_PARTNER) edits.drop(columns.partner[row]!);
  }

  /** Where a note of a part without a place is heard best: the nearest program that plays on, its key free. */
  #hostOf(note: number, row: number): Place | undefined {
    const { columns, notes, like, still } = this.#in;
    const key = notes.key[note]!;
    const end = notes.endRow[note]!;
    let best: Place | undefined;
    let nearest = Number.POSITIVE_INFINITY;
    for (const [index, place] of this.#places.all.entries()) {
      if (place.sound === NO_SOUND || columns.tick[row]! <= place.setUpTick) continue;
      const distance = programDistance(like[note]!, place.like);
      if (distance >= nearest) continue;
      const next = place.stretches[place.next]?.position ?? Number.POSITIVE_INFINITY;
      // With a pause it is set up behind the row before that, which a guest's end must not come after.
      if (next <= end || place.guestUntil[key]! > row) continue;
      if (!still.isStill(place.leader, row, end) || still.isCut(place.leader, row, end)) continue;
      if (this.#places.isKeyTaken(index, key, row, end)) continue;
      best = place;
      nearest = distance;
    }
    return best;
  }
}
