import type { Timeline } from '../timeline/timeline.ts';
import type { CauseCode } from './cause.ts';
import { type CompareOptions, compareMusic, type MusicComparison } from './compare-music.ts';
import { type ComparedNames, compareRecording } from './compare-recording.ts';
import { type ComparisonDocument, comparisonDocument } from './comparison-document.ts';
import type { Cut } from './coverage.ts';
import type { HeardMusic } from './heard-music.ts';
import type { LiveHeard } from './live-heard.ts';
import { pairsIn } from './live-pairs.ts';
import { EDGE_MICROS } from './live-place.ts';
import type { SongParts } from './song-part.ts';
import type { SongPlace } from './song-places.ts';
import { standstillCounts } from './standstills.ts';
import type { WrittenMusic } from './written-music.ts';

/** From one song time to another, both included. */
export interface SongSpan {
  readonly fromMicros: number;
  readonly toMicros: number;
}

/** How a part is to be judged. */
export interface HowJudged {
  readonly cut: Cut;
  /** Causes that are not asked for. */
  readonly unasked?: readonly CauseCode[];
  /** Where all that was heard is as written. */
  readonly known?: SongPlace | undefined;
}

/** What was heard of a part of the song, judged. */
export interface JudgedPart {
  readonly part: Timeline;
  readonly comparison: MusicComparison;
  readonly document: ComparisonDocument;
}

/** Judges what is not settled by the judge of `compare`. */
export class LiveJudge {
  readonly #parts: SongParts;
  readonly #written: WrittenMusic;
  readonly #heard: LiveHeard;
  readonly #names: ComparedNames;
  readonly #options: CompareOptions;

  constructor(
    parts: SongParts,
    written: WrittenMusic,
    heard: LiveHeard,
    names: ComparedNames,
    options: CompareOptions,
  ) {
    this.#parts = parts;
    this.#written = written;
    this.#heard = heard;
    this.#names = names;
    this.#options = options;
  }

  /** All of it, and in one. */
  recording(timeline: Timeline, heard: HeardMusic): ComparisonDocument {
    return compareRecording(timeline, heard, this.#names, this.#options);
  }

  /** @param end the first message that is not judged */
  judge(span: SongSpan, end: number, { cut, unasked = [], known }: HowJudged): JudgedPart {
    const part = this.#parts.part(span.fromMicros, span.toMicros, span.toMicros - EDGE_MICROS);
    const heard = this.#heard.rest(end);
    const pairs = known && pairsIn(this.#written, span, known, heard.on.count);
    const expected = [...(this.#options.expected ?? []), ...unasked];
    const comparison = compareMusic(part, heard, { ...this.#options, cut, expected, pairs });
    const { song, heard: name, faults } = this.#names;
    const document = comparisonDocument(song, name, part, comparison, faults);
    // One standstill that two parts share is one.
    const standstills = standstillCounts(this.#heard.standstills, document.standstills.notes);
    return { part, comparison, document: { ...document, standstills } };
  }

  /** Whoever is as written where that is known is right; who is not is laid beside the song. */
  judgeBest(span: SongSpan, end: number, how: HowJudged): ComparisonDocument {
    const asKnown = how.known && this.judge(span, end, how).document;
    if (asKnown !== undefined && asKnown.verdict !== 'differs') return asKnown;
    return this.judge(span, end, { ...how, known: undefined }).document;
  }
}
