import type { TimedChunk } from '../capture/byte-dump.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { CauseCode } from './cause.ts';
import { COMPARE_DEFAULTS, type CompareOptions, compareMusic } from './compare-music.ts';
import { type ComparisonDocument, comparisonDocument } from './comparison-document.ts';
import { heardFromChunks } from './hear.ts';
import type { HeardMusic } from './heard-music.ts';
import { HeardReader } from './heard-reader.ts';
import { matchMusic } from './match-music.ts';
import { median } from './robust-line.ts';
import { songPart } from './song-part.ts';
import { type WrittenMusic, writtenMusic } from './written-music.ts';

/** How a recording stands while it is still being made. */
export interface LiveView {
  /** `waiting`: no note yet, or too few to tell; `other`: this is not the song. */
  readonly state: 'waiting' | 'following' | 'other';
  /** Song time (µs) that was heard last; −1 while not known. */
  readonly songMicros: number;
  /** The song as far as it was heard, judged as a recording of that part would be; undefined while nothing can be told. */
  readonly soFar: ComparisonDocument | undefined;
}

/** What the document names: the song, the input, and faults of the stream by kind. */
export interface LiveNames {
  readonly song: string;
  readonly heard: string;
  readonly faults: readonly string[];
}

/** What is younger than this is not judged yet: the rest of a chord, or a late note, may be on its way. */
const EDGE_MICROS = 400_000;
/** A song that was begun earlier than this is begun at its beginning. */
const BEGINNING_MICROS = 2_000_000;
/** Matched notes that say where the song is: one alone may be a chance. */
const TELLING_NOTES = 15;
/** Notes from which on a cause can be named, or that they are of another song. */
const ENOUGH_NOTES = 24;
/** Causes that are read from fine differences of time want more of them, and more than a single look. */
const FINE_TIME: ReadonlySet<CauseCode> = new Set(['clock-rate', 'slow-chords', 'slow-adds-up']);
/** A few bars of even notes look like a grid: that is judged at the end. */
const AT_THE_END: CauseCode = 'timer-tick';
const MANY_NOTES = 100;
const LOOKS_AGAIN = 4;
/** Of as many notes as were heard so many must be where they belong; of all notes anywhere in the song. */
const LEAST_SHARE = 0.6;
const OTHER_SHARE = 0.02;

/**
 * Judges a recording while it is being made, by the judge of `compareMusic`: what was heard so far is held against that part
 * of the song. Time and memory grow with what was heard.
 */
export class LiveComparison {
  readonly #timeline: Timeline;
  readonly #options: CompareOptions;
  readonly #names: LiveNames;
  readonly #written: WrittenMusic;
  readonly #reader = new HeardReader(true);
  readonly #chunks: TimedChunk[] = [];
  /** In how many looks on end each cause was seen. */
  #seen: ReadonlyMap<CauseCode, number> = new Map();
  /** Song time at which the recording began. */
  #fromMicros = 0;

  constructor(timeline: Timeline, names: LiveNames, options: CompareOptions = COMPARE_DEFAULTS) {
    this.#timeline = timeline;
    this.#names = names;
    this.#written = writtenMusic(timeline);
    this.#options = options;
  }

  /** @param micros when the first of these bytes began; they are kept as they are */
  feed(bytes: Uint8Array, micros: number): void {
    this.#chunks.push({ micros, bytes });
    this.#reader.feed(bytes, micros);
  }

  /** What can be said now. */
  look(): LiveView {
    const heard = this.#reader.music();
    if (heard.on.count === 0) return WAITING;
    const place = this.#placeOf(heard);
    if (place === undefined) return heard.on.count < ENOUGH_NOTES ? WAITING : OTHER;
    const { fromMicros, toMicros, heardUntil } = place;
    if (heardUntil < 0) return { ...WAITING, songMicros: place.songMicros };
    const part = songPart(this.#timeline, fromMicros, toMicros, toMicros - EDGE_MICROS);
    const chunks = this.#chunks.filter(({ micros }) => micros <= heardUntil);
    const soFar = this.#documentOf(part, heardFromChunks(chunks));
    return {
      state: 'following',
      songMicros: place.songMicros,
      soFar: { ...soFar, causes: this.#sure(soFar) },
    };
  }

  /** The recording is over: as `compare` judges it. */
  whole(): ComparisonDocument {
    return this.#documentOf(this.#timeline, heardFromChunks(this.#chunks));
  }

  /** A handful of notes accuses nobody: a clock, say, seems fast or slow by the jitter of two of them. */
  #sure({ causes, notes }: ComparisonDocument): ComparisonDocument['causes'] {
    const seen = new Map(causes.map(({ code }) => [code, (this.#seen.get(code) ?? 0) + 1]));
    this.#seen = seen;
    return causes.filter(({ code }) => {
      if (code === AT_THE_END) return false;
      if (!FINE_TIME.has(code)) return notes.heard >= ENOUGH_NOTES;
      return notes.heard >= MANY_NOTES && seen.get(code)! >= LOOKS_AGAIN;
    });
  }

  #documentOf(timeline: Timeline, heard: HeardMusic): ComparisonDocument {
    const { song, heard: name, faults } = this.#names;
    return comparisonDocument(song, name, timeline, compareMusic(timeline, heard, this.#options), faults);
  }

  /** Which part of the song was heard, and until when all of it must have come; undefined where that cannot be told. */
  #placeOf(heard: HeardMusic): Place | undefined {
    const found = this.#placeFrom(this.#fromMicros, heard);
    if (found !== undefined) return found;
    if (heard.on.count < ENOUGH_NOTES) return undefined;
    // Begun in the middle: a song repeats itself, so that takes more notes to tell.
    const anywhere = placeIn(this.#timeline, heard);
    if (anywhere.share < OTHER_SHARE) return undefined;
    this.#fromMicros = anywhere.begunMicros < BEGINNING_MICROS ? 0 : anywhere.begunMicros;
    return this.#placeFrom(this.#fromMicros, heard);
  }

  /** As many notes as were heard, or nearly, from where it was begun: whatever the tempo. */
  #placeFrom(fromMicros: number, heard: HeardMusic): Place | undefined {
    const { micros } = this.#written;
    const first = firstNotBefore(micros, fromMicros);
    let best: Place | undefined;
    for (const share of [1, 0.97, 1.03, 0.9, 1.1]) {
      const last = Math.min(micros.length, first + Math.round(heard.on.count * share)) - 1;
      if (last < first) continue;
      const place = placeIn(songPart(this.#timeline, fromMicros, micros[last]!), heard);
      if (best === undefined || place.share > best.share) best = { ...place, fromMicros };
      if (best.share > 0.98) break;
    }
    return best !== undefined && best.share >= LEAST_SHARE ? best : undefined;
  }
}

interface Found {
  /** Matched notes, of those heard or those written, whichever are more. */
  readonly share: number;
  /** Song time of the first that was heard, and of the last. */
  readonly begunMicros: number;
  readonly songMicros: number;
  /** Until this song time all should have come, and by then it had. */
  readonly toMicros: number;
  readonly heardUntil: number;
}

interface Place extends Found {
  readonly fromMicros: number;
}

const WAITING: LiveView = { state: 'waiting', songMicros: -1, soFar: undefined };
const OTHER: LiveView = { ...WAITING, state: 'other' };

function placeIn(timeline: Timeline, heard: HeardMusic): Found {
  const written = writtenMusic(timeline);
  const { on } = heard;
  if (written.count === 0) return NOWHERE;
  const { matching } = matchMusic(timeline, written, heard);
  const songAt = (note: number) => written.micros[matching.writtenOf[note]!]!;
  const first: number[] = [];
  const last: number[] = [];
  for (let note = 0; note < on.count && first.length < TELLING_NOTES; note += 1) {
    if (matching.writtenOf[note]! >= 0) first.push(songAt(note));
  }
  for (let note = on.count - 1; note >= 0 && last.length < TELLING_NOTES; note -= 1) {
    if (matching.writtenOf[note]! >= 0) last.push(songAt(note));
  }
  if (last.length === 0) return NOWHERE;
  // The latest that is not out of the way of the others.
  const middle = median(Float64Array.from(last));
  const songMicros = Math.max(...last.filter((micros) => micros < middle + BEGINNING_MICROS));
  const toMicros = songMicros - EDGE_MICROS;
  const heardUntil = cutBetween(on.micros, on.count, (note) =>
    matching.writtenOf[note]! < 0 ? undefined : songAt(note) <= toMicros,
  );
  const share = matching.matched / Math.max(on.count, written.count);
  return { share, begunMicros: Math.min(...first), songMicros, toMicros, heardUntil };
}

const NOWHERE: Found = { share: 0, begunMicros: 0, songMicros: -1, toMicros: -1, heardUntil: -1 };

/**
 * The moment that best parts what belongs before a cut from what belongs behind it: a single note that was taken for
 * another may lie on the wrong side.
 * @param isBefore undefined for a note that says nothing
 * @returns time of the last note before the cut; below 0 for none
 */
function cutBetween(
  micros: Float64Array,
  count: number,
  isBefore: (note: number) => boolean | undefined,
): number {
  let wrong = 0;
  let best = 0;
  let cut = -1;
  for (let note = 0; note < count; note += 1) {
    const before = isBefore(note);
    if (before === undefined) continue;
    wrong += before ? -1 : 1;
    if (wrong <= best) {
      best = wrong;
      cut = micros[note]!;
    }
  }
  return cut;
}

/** The first of ascending values that is not below `from`. */
function firstNotBefore(values: Float64Array, from: number): number {
  const found = values.findIndex((value) => value >= from);
  return found < 0 ? values.length : found;
}
