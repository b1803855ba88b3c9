import type { HeardMusic, HeardNotes } from './heard-music.ts';
import { KNOWN_BY_NOTES } from './pace-start.ts';
import { beginsAgain } from './passes.ts';
import { type SongPlace, SongPlaces } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';

/** Notes from which on a place that is the only one is it. */
const SURE_NOTES = 24;

/** From where on the song was heard that is not settled. */
export interface ListenedFrom {
  readonly micros: number;
  /** In mid-song; and where, until that is settled. */
  readonly isLate: boolean;
  readonly place: SongPlace | undefined;
}

export const FROM_ITS_BEGINNING: ListenedFrom = { micros: 0, isLate: false, place: undefined };
/** A chord's notes may have been due so much before the first heard. */
const JOINED_EARLY_MICROS = 20_000;

export function listenedFrom({ micros }: WrittenMusic, place: SongPlace): ListenedFrom {
  if (micros[place.first]! <= micros[0]!) return FROM_ITS_BEGINNING;
  const from = Math.min(place.earliestMicros, micros[place.first]! - JOINED_EARLY_MICROS);
  return { micros: from, isLate: true, place };
}

/** Where in the song listening began: at its beginning, or anywhere. Nobody is accused of what is right at another place. */
export class Beginning {
  readonly places: SongPlaces;
  readonly #written: WrittenMusic;
  /** The place that was taken for it at the last look. */
  #chosen: SongPlace | undefined;
  /** Notes by which it was chosen. */
  #notes = 0;
  /** Nothing is to be found out any more. */
  isSure = false;

  constructor(written: WrittenMusic, waits: Float64Array) {
    this.places = new SongPlaces(written, waits);
    this.#written = written;
  }

  /**
   * Places at which all that was heard so far is as written: the one that was chosen first, then from the song's beginning on. None
   * where something is wrong everywhere. Where it is sure, only that is asked.
   * @param fromMicros song time at which it then begins
   * @param nowMicros recording's time until which everything was heard
   */
  possible(on: HeardNotes, fromMicros: number, nowMicros: number): readonly SongPlace[] {
    if (this.isSure) {
      const place =
        this.#chosen === undefined
          ? this.places.from(on, fromMicros, nowMicros)
          : this.places.at(on, this.#chosen.first, nowMicros);
      return place === undefined ? [] : [place];
    }
    const found = this.places.find(on, 0, nowMicros);
    const first = found.findIndex(({ first: note }) => note === this.#chosen?.first);
    if (first > 0) found.unshift(...found.splice(first, 1));
    return found;
  }

  /** Of `beginsAgain`. */
  again(heard: HeardMusic, from: number, nowMicros: number): number | undefined {
    return beginsAgain(this.places, this.#written, heard, from, nowMicros);
  }

  /** @param isOnly no other is possible */
  choose(place: SongPlace, isOnly: boolean, notes: number): void {
    if (this.isSure) return;
    this.#chosen = place;
    this.#notes = notes;
    this.isSure = isOnly && notes >= SURE_NOTES && place.overAt < 0;
  }

  /** The place that was chosen last, none being possible any more, was seen by enough notes to be one. */
  get isSeen(): boolean {
    return this.isSure || this.#notes >= KNOWN_BY_NOTES;
  }

  /** Where it began matters no more: what was heard first is judged for good. */
  settle(): void {
    this.#chosen = undefined;
    this.isSure = true;
  }

  /** The song is over, and it begins again. */
  startOver(): void {
    this.#chosen = undefined;
    this.#notes = 0;
    this.isSure = false;
  }
}
