import type { Timeline } from '../timeline/timeline.ts';
import { CarriedState } from './carried-state.ts';
import type { CauseCode } from './cause.ts';
import { COMPARE_DEFAULTS, type CompareOptions, compareMusic } from './compare-music.ts';
import { type ComparisonDocument, comparisonDocument, faultCounts } from './comparison-document.ts';
import { HeardEvents } from './heard-events.ts';
import { HeardFold } from './heard-fold.ts';
import type { HeardMusic } from './heard-music.ts';
import { HeardStream } from './heard-stream.ts';
import { CausesSeen } from './live-causes.ts';
import { BEGINNING_MICROS, cutInRest, EDGE_MICROS, type Place, placeFrom, placeIn } from './live-place.ts';
import { type LiveSign, lateSigns, PaceSigns } from './live-signs.ts';
import { SettledParts } from './settled-parts.ts';
import { SongParts } from './song-part.ts';
import { StandstillList, standstillCounts } from './standstills.ts';
import { type WrittenMusic, writtenMusic } from './written-music.ts';

/** How a recording stands while it is still being made. */
export interface LiveView {
  /** `waiting`: no note yet, or too few to tell; `other`: this is not the song. */
  readonly state: 'waiting' | 'following' | 'other';
  /** Song time (µs) that was heard last; −1 while not known. */
  readonly songMicros: number;
  /** The song as far as it was heard, judged as a recording of that part would be; undefined while nothing can be told. */
  readonly soFar: ComparisonDocument | undefined;
  /** What is heard to be wrong of the latest part. */
  readonly signs: readonly LiveSign[];
}

/** What the document names: the song, the input, and faults of the stream by kind. */
export interface LiveNames {
  readonly song: string;
  readonly heard: string;
  readonly faults: readonly string[];
}

/** How much is held at once; `LIVE_DEFAULTS` but in tests. */
export interface LiveLimits {
  /** Notes from which on what lies behind is judged for good, but for a third of them. */
  readonly settleNotes: number;
  /** Messages up to which all are kept, so that the whole can be judged in one at the end. */
  readonly keptMessages: number;
}

/** Some minutes of music; a day of it (30 MB). */
const LIVE_DEFAULTS: LiveLimits = { settleNotes: 3000, keptMessages: 2_000_000 };
/** Notes from which on they can be of another song. */
const ENOUGH_NOTES = 24;
/** A few bars of even notes look like a grid: that is judged of what is settled, and at the end. */
const NOT_YET: readonly CauseCode[] = ['timer-tick'];
const SETTLED_NOTES = 300;
/** Of all notes anywhere in the song. */
const OTHER_SHARE = 0.02;
const MESSAGES_A_NOTE = 20; // bends come by the dozen, faults of a noisy line without any note
/** Where the song is not found, what was heard is let go at so many times `settleNotes`. */
const PATIENCE = 4;

/**
 * Judges a recording while it is being made, by the judge of `compareMusic`: what was heard so far is held against that part
 * of the song. What lies well behind is judged for good and its counts kept, so that a look takes no longer however long the
 * recording is.
 */
export class LiveComparison {
  readonly #timeline: Timeline;
  readonly #options: CompareOptions;
  readonly #limits: LiveLimits;
  readonly #names: LiveNames;
  readonly #written: WrittenMusic;
  readonly #pace: PaceSigns;
  readonly #parts: SongParts;
  readonly #events = new HeardEvents();
  readonly #stream = new HeardStream(true, this.#events);
  readonly #settled = new SettledParts();
  readonly #carried = new CarriedState();
  readonly #standstills = new StandstillList();
  readonly #causes = new CausesSeen();
  /** Song time at which what is not settled begins, its first message, and bytes before that. */
  #fromMicros = 0;
  #from = 0;
  #fromBytes = 0;
  /** First message that is still kept. */
  #forgotten = 0;

  constructor(
    timeline: Timeline,
    names: LiveNames,
    options: CompareOptions = COMPARE_DEFAULTS,
    limits: LiveLimits = LIVE_DEFAULTS,
  ) {
    this.#timeline = timeline;
    this.#names = names;
    this.#written = writtenMusic(timeline);
    this.#pace = new PaceSigns(timeline, this.#written, options.withinMicros);
    this.#parts = new SongParts(timeline);
    this.#options = options;
    this.#limits = limits;
  }

  /** @param micros when the first of these bytes began */
  feed(bytes: Uint8Array, micros: number): void {
    this.#stream.feed(bytes, micros);
  }

  /** The listener itself stood still: what came meanwhile was stamped only at the end of it, or just behind. */
  stoodStill(fromMicros: number, toMicros: number): void {
    this.#standstills.add(fromMicros, toMicros);
  }

  /** Messages that are kept. */
  get heldMessages(): number {
    return this.#events.count - this.#forgotten;
  }

  /** What can be said now. */
  look(): LiveView {
    let heard = this.#heardTo(this.#events.count);
    let place = this.#placeOf(heard);
    if (this.#isMuch(heard, 1) && this.#settle(heard, place)) {
      heard = this.#heardTo(this.#events.count);
      place = this.#placeOf(heard);
    }
    const signs = this.#paceSigns(heard);
    if (place === undefined) return { ...(heard.on.count < ENOUGH_NOTES ? WAITING : OTHER), signs };
    const { fromMicros, songMicros, toMicros, heardUntil } = place;
    if (heardUntil < 0) return { ...WAITING, songMicros, signs };
    const part = this.#parts.part(fromMicros, toMicros, toMicros - EDGE_MICROS);
    const found = this.#judge(part, this.#heardTo(this.#firstAfter(heardUntil)), NOT_YET);
    return {
      state: 'following',
      songMicros,
      soFar: this.#settled.with({
        ...found.document,
        causes: this.#causes.sure(found.document, this.#settled.notes.heard),
      }),
      signs: [...signs, ...lateSigns(part, found.comparison)],
    };
  }

  #paceSigns(heard: HeardMusic): LiveSign[] {
    const { count } = this.#events;
    return count === 0 ? [] : this.#pace.signs(heard, this.#fromMicros, this.#events.microsAt(count - 1));
  }

  /** The recording is over: as `compare` judges it, in one or, where it was too long to be kept, in parts. */
  whole(): ComparisonDocument {
    this.#stream.finish();
    const { count } = this.#events;
    if (this.#forgotten === 0 && this.#events.roomFrom(0) <= this.#limits.keptMessages) {
      const fold = new HeardFold();
      this.#events.replay(0, count, fold);
      const heard = fold.music(true, this.#stream.bytes, this.#standstills.all());
      return this.#judge(this.#timeline, heard).document;
    }
    const rest = this.#parts.part(this.#fromMicros, Number.POSITIVE_INFINITY);
    return this.#settled.with(this.#judge(rest, this.#heardTo(count)).document);
  }

  /** What is not settled, up to a message. */
  #heardTo(end: number): HeardMusic {
    const fold = new HeardFold();
    this.#carried.begin(fold);
    this.#events.replay(this.#from, end, fold);
    const micros = (place: number, none: number) =>
      place > 0 && place < this.#events.count ? this.#events.microsAt(place) : none;
    const standstills = this.#standstills.between(micros(this.#from, -Infinity), micros(end, Infinity));
    return fold.music(true, this.#stream.bytes - this.#fromBytes, standstills);
  }

  /** The first message that is not settled and came after a moment. */
  #firstAfter(micros: number): number {
    let place = this.#from;
    while (place < this.#events.count && this.#events.microsAt(place) <= micros) place += 1;
    return place;
  }

  /** Judges for good what lies well behind. @returns false where it cannot be parted from the rest */
  #settle(heard: HeardMusic, place: Place | undefined): boolean {
    const cut = place === undefined ? undefined : cutInRest(heard, place);
    if (cut === undefined) {
      if (!this.#isMuch(heard, PATIENCE)) return false;
      const end = this.#from + ((this.#events.count - this.#from) >> 1);
      const { on, faults } = this.#heardTo(end);
      this.#settled.addUnplaced(on.count, faultCounts(faults.byKind, this.#names.faults));
      this.#moveTo(end);
      return true;
    }
    const end = this.#firstAfter(cut.heardMicros);
    const part = this.#parts.part(place!.fromMicros, cut.songMicros, cut.songMicros - EDGE_MICROS);
    const { document } = this.#judge(part, this.#heardTo(end));
    const isMuch = document.notes.heard >= SETTLED_NOTES;
    const isSure = (code: CauseCode) => (NOT_YET.includes(code) ? isMuch : this.#causes.isSeen(code));
    this.#settled.add(
      document,
      document.causes.filter(({ code }) => isSure(code)),
    );
    this.#moveTo(end);
    // Behind the cut, on which no note stands.
    this.#fromMicros = cut.songMicros + 0.001;
    return true;
  }

  /** Whether so many times as much is held as is settled at once: of notes, or of messages of any kind. */
  #isMuch({ on }: HeardMusic, times: number): boolean {
    const most = times * this.#limits.settleNotes;
    return on.count > most || this.#events.roomFrom(this.#from) > MESSAGES_A_NOTE * most;
  }

  #moveTo(end: number): void {
    const { count } = this.#events;
    this.#fromBytes += Math.round(
      ((this.#stream.bytes - this.#fromBytes) * (end - this.#from)) / Math.max(1, count - this.#from),
    );
    this.#events.replay(this.#from, end, this.#carried);
    this.#from = end;
    if (this.#events.roomFrom(0) <= this.#limits.keptMessages) return;
    this.#events.forget(end);
    this.#forgotten = end;
  }

  #judge(timeline: Timeline, heard: HeardMusic, unasked: readonly CauseCode[] = []) {
    const { song, heard: name, faults } = this.#names;
    const comparison = compareMusic(timeline, heard, {
      ...this.#options,
      expected: [...(this.#options.expected ?? []), ...unasked],
    });
    const document = comparisonDocument(song, name, timeline, comparison, faults);
    // One that two parts share is one.
    const all = this.#standstills.all();
    const { notes } = document.standstills;
    return { comparison, document: { ...document, standstills: standstillCounts(all, notes) } };
  }

  /** Which part of the song was heard, and until when all of it must have come; undefined where that cannot be told. */
  #placeOf(heard: HeardMusic): Place | undefined {
    if (heard.on.count === 0) return undefined;
    const found = placeFrom(this.#parts, this.#written, this.#fromMicros, heard);
    if (found !== undefined || heard.on.count < ENOUGH_NOTES || this.#settled.parts > 0) return found;
    // Begun in the middle: a song repeats itself, so that takes more notes to tell.
    const anywhere = placeIn(this.#timeline, heard, 0);
    if (anywhere.share < OTHER_SHARE) return undefined;
    const fromMicros = anywhere.begunMicros < BEGINNING_MICROS ? 0 : anywhere.begunMicros;
    const there = placeFrom(this.#parts, this.#written, fromMicros, heard);
    if (there !== undefined) this.#fromMicros = fromMicros;
    return there;
  }
}

const WAITING: LiveView = { state: 'waiting', songMicros: -1, soFar: undefined, signs: [] };
const OTHER: LiveView = { ...WAITING, state: 'other' };
