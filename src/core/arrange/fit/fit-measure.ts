import type { Instrument } from '../../instrument/instrument.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { FitMarks } from './fit-marks.ts';
import { DRUM_MICROS, type HeardNotes, heardNotes } from './heard-notes.ts';
import { heardValue } from './heard-value.ts';
import { noteSounds } from './note-sounds.ts';
import { noteWeights } from './note-weights.ts';
import { LEFT_OUT, playedNotes } from './played-notes.ts';
import { type EditedRows, NEW_ROW, type SongEnd } from './row-edits.ts';
import { unheardNotes } from './unheard-notes.ts';

/** How a song fares on an instrument. */
export interface FitMeasure {
  readonly notes: number;
  /** Notes taken away while held, never begun for want of a voice, or not sounded at all. */
  readonly notesCut: number;
  /** Of what was written, weighted by how much is heard of each note. */
  readonly lossPercent: number;
  /** Voices it asks for at once, tails included. */
  readonly mostVoices: number;
  /** Channels that play melodies. */
  readonly parts: number;
  /** [notes as written] what is lost of each, and what each is worth. */
  readonly lost: Float64Array;
}

/** A song on its way: which written row each of its rows is, and what it means. */
export interface SongAsSent extends EditedRows {
  readonly marks: FitMarks;
}

/** The same, with what its notes weigh. */
export interface JudgedSong extends SongAsSent {
  readonly judge: FitJudge;
}

/** The song as it was written: what losses are measured against. */
export class FitJudge {
  readonly #written: TimelineColumns;
  readonly #end: SongEnd;
  readonly #instrument: Instrument;
  readonly notes: HeardNotes;
  /** [notes] what each is worth. */
  readonly worth: Float64Array;
  readonly #weight: Float64Array;
  readonly #decay: Float64Array;
  readonly #noteAt: Int32Array;

  /**
   * @param sent the song as the instrument is given it before voices are planned: a note that plays there weighs what it
   * does there, since keys that were moved make others top, bottom or doubles, and a volume that is not followed
   * makes nothing softer
   */
  constructor(
    written: TimelineColumns,
    end: SongEnd,
    instrument: Instrument,
    marks: FitMarks,
    sent?: JudgedSong,
  ) {
    this.#written = written;
    this.#end = end;
    this.#instrument = instrument;
    this.notes = heardNotes(written, marks.drumChannels);
    this.#noteAt = new Int32Array(written.count).fill(-1);
    for (let note = 0; note < this.notes.count; note += 1) this.#noteAt[this.notes.onRow[note]!] = note;
    const { like } = noteSounds(this.notes, instrument);
    const { weight, decay } = noteWeights(written, this.notes, 1, like);
    if (sent !== undefined && sent.columns !== written) this.#takeWeights(weight, sent);
    this.#weight = weight;
    this.#decay = decay;
    this.worth = Float64Array.from(weight, (one, note) => {
      const whole = this.#wholeSeconds(note);
      return one * heardValue(whole, whole, decay[note]!);
    });
  }

  measure(song: SongAsSent): FitMeasure {
    const { notes, each, unheard, played, lost } = this.#listen(song);
    const wanted = playedNotes(song.columns, this.#end.micros, notes, undefined, each, {
      ...this.#instrument,
      voices: Number.MAX_SAFE_INTEGER,
    });
    const parts = new Uint8Array(16);
    let silent = 0;
    for (let note = 0; note < notes.count; note += 1) {
      if (!notes.drum[note]) parts[notes.channel[note]!] = 1;
      if (unheard[note] === LEFT_OUT) silent += 1;
    }
    return {
      notes: notes.count,
      notesCut: played.cut + silent,
      lossPercent: this.#percent(lost),
      mostVoices: wanted.mostVoices,
      parts: parts.reduce((sum, one) => sum + one, 0),
      lost,
    };
  }

  /** The loss alone, for less. */
  lossPercent(song: SongAsSent): number {
    return this.#percent(this.#listen(song).lost);
  }

  #listen({ columns, origin, marks }: SongAsSent) {
    const notes = heardNotes(columns, marks.drumChannels);
    const { voicesEach: each } = noteSounds(notes, this.#instrument);
    const unheard = unheardNotes(notes, this.#instrument);
    const played = playedNotes(columns, this.#end.micros, notes, unheard, each, this.#instrument);
    const lost = this.worth.slice();
    for (let note = 0; note < notes.count; note += 1) {
      const row = origin[notes.onRow[note]!]!;
      const was = row === NEW_ROW ? -1 : this.#noteAt[row]!;
      if (was < 0 || unheard[note] === LEFT_OUT) continue;
      const heard = (played.untilMicros[note]! - columns.micros[notes.onRow[note]!]!) / 1e6;
      const whole = this.#wholeSeconds(was);
      if (heard >= whole) lost[was] = 0;
      else {
        const value = heardValue(heard, whole, this.#decay[was]!);
        lost[was] = Math.max(0, this.worth[was]! - this.#weight[was]! * value);
      }
    }
    return { notes, each, unheard, played, lost };
  }

  #percent(lost: Float64Array): number {
    const all = this.worth.reduce((sum, worth) => sum + worth, 0);
    return all > 0 ? (100 * lost.reduce((sum, one) => sum + one, 0)) / all : 0;
  }

  #takeWeights(weight: Float64Array, { origin, judge }: JudgedSong): void {
    for (let note = 0; note < judge.notes.count; note += 1) {
      const row = origin[judge.notes.onRow[note]!]!;
      if (row !== NEW_ROW) weight[this.#noteAt[row]!] = judge.#weight[note]!;
    }
  }

  #wholeSeconds(note: number): number {
    const { micros, count } = this.#written;
    const end = this.notes.endRow[note]!;
    const until = end < count ? micros[end]! : this.#end.micros;
    const sounds = until - micros[this.notes.onRow[note]!]!;
    return (this.notes.drum[note] === 0 ? sounds : Math.min(sounds, DRUM_MICROS)) / 1e6;
  }
}
