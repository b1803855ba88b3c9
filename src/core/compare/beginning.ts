import type { HeardNotes } from './heard-music.ts';
import { type SongPlace, SongPlaces } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';

/** Notes from which on a place that is the only one is it. */
const SURE_NOTES = 24;

/** Where in the song listening began: at its beginning, or anywhere. Nobody is accused of what is right at another place. */
export class Beginning {
  readonly places: SongPlaces;
  /** The place that was taken for it at the last look. */
  #chosen: SongPlace | undefined;
  /** Nothing is to be found out any more. */
  isSure = false;

  constructor(written: WrittenMusic, waits: Float64Array) {
    this.places = new SongPlaces(written, waits);
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

  /** @param isOnly no other is possible */
  choose(place: SongPlace, isOnly: boolean, notes: number): void {
    this.#chosen = place;
    this.isSure = isOnly && notes >= SURE_NOTES && place.overAt < 0;
  }

  /** Where it began matters no more: what was heard first is judged for good. */
  settle(): void {
    this.#chosen = undefined;
    this.isSure = true;
  }

  /** The song is over, and it begins again. */
  startOver(): void {
    this.#chosen = undefined;
    this.isSure = false;
  }
}
