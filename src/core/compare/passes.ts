import type { Timeline } from '../timeline/timeline.ts';
import type { KnownSong } from './compare-music.ts';
import type { HeardMusic } from './heard-music.ts';
import { heardPart } from './heard-part.ts';
import { KNOWN_BY_NOTES } from './pace-start.ts';
import type { SongPlace, SongPlaces } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';
import { WrongPasses } from './wrong-passes.ts';

/** By so many notes it is seen that the song begins again. */
const SEEN_BY_NOTES = 24;

/** The heard note with which the song is over, wherever it began; −1: at one place at least it goes on. */
export function overAt(places: readonly SongPlace[]): number {
  return places.length > 0 && places.every(({ overAt: at }) => at >= 0) ? places[0]!.overAt : -1;
}

/** Without those at which the song would be over though more came then, and not its beginning: there nobody came in. */
export function notLongOver(places: readonly SongPlace[], heardNotes: number): SongPlace[] {
  return places.filter(({ overAt: at }) => at < 0 || heardNotes - at < KNOWN_BY_NOTES);
}

/**
 * When the song begins again, if what comes from a heard note on, with which it is over, may be its beginning: with fewer than
 * `KNOWN_BY_NOTES` that is not sure.
 */
export function beginsAgain(
  places: SongPlaces,
  { micros }: WrittenMusic,
  heard: Pick<HeardMusic, 'on' | 'bursts'>,
  from: number,
  nowMicros: number,
): number | undefined {
  const { on } = heard;
  const count = Math.min(on.count, from + SEEN_BY_NOTES);
  const now = count < on.count ? on.micros[count]! : nowMicros;
  const [place] = places.find({ ...on, count }, from, now);
  const isBeginning = place !== undefined && micros[place.first] === micros[0];
  return isBeginning ? places.beginsAgainMicros(heard, from) : undefined;
}

/** A day of a song of three minutes; whatever comes then is judged in one. */
const MOST_PASSES = 500;

/**
 * A player in a loop: the recording of each time that the song was played. Where it comes as written its end is known for
 * certain; where it does not, it is laid beside the song, and what follows must be the song again (`wrong-passes.ts`).
 */
export function passesOf(
  timeline: Timeline,
  { written, places }: KnownSong,
  heard: HeardMusic,
): HeardMusic[] {
  const passes: HeardMusic[] = [];
  const { on } = heard;
  const wrong = new WrongPasses(timeline, written, heard);
  let began = heard.beganMicros;
  let from = 0;
  while (heard.hasTimes && passes.length < MOST_PASSES) {
    // Nobody came in in the middle of what begins it again.
    const isAnew = ({ first }: SongPlace) => from === 0 || written.micros[first] === written.micros[0];
    const over = overAt(places.find(on, from, heard.lastMicros).filter(isAnew));
    if (over >= 0 && on.count - over < KNOWN_BY_NOTES) break;
    const right = over < 0 ? undefined : beginsAgain(places, written, heard, over, heard.lastMicros);
    const next = right === undefined ? wrong.endOf(from) : over;
    if (next === undefined) break;
    const cut = places.beginsAgainMicros(heard, next);
    passes.push(heardPart(heard, from, next, began, cut));
    began = cut;
    from = next;
  }
  const rest =
    passes.length === 0 ? heard : heardPart(heard, from, on.count, began, Number.POSITIVE_INFINITY);
  return [...passes, rest];
}
