import type { Timeline } from '../timeline/timeline.ts';
import { Beginning, FROM_ITS_BEGINNING, listenedFrom } from './beginning.ts';
import type { CauseCode } from './cause.ts';
import { COMPARE_DEFAULTS, type CompareOptions } from './compare-music.ts';
import type { ComparedNames } from './compare-recording.ts';
import { type ComparisonDocument, faultCounts } from './comparison-document.ts';
import type { Cut } from './coverage.ts';
import type { HeardMusic } from './heard-music.ts';
import { CausesSeen } from './live-causes.ts';
import { LIVE_DEFAULTS, LiveHeard, type LiveLimits } from './live-heard.ts';
import { LiveJudge } from './live-judge.ts';
import { placeByPairs } from './live-pairs.ts';
import { cutInRest, type Place, placeAnywhere, placeFrom } from './live-place.ts';
import { type LiveSign, lateSigns, PaceSigns } from './live-signs.ts';
import { type LiveView, OTHER, saysNothing, WAITING } from './live-view.ts';
import type { ToldKind } from './log-remarks.ts';
import { KNOWN_BY_NOTES } from './pace-start.ts';
import { notLongOver, overAt } from './passes.ts';
import { SettledParts } from './settled-parts.ts';
import { SongParts } from './song-part.ts';
import { MOST_PLACES, type SongPlace } from './song-places.ts';
import { type WrittenMusic, writtenMusic } from './written-music.ts';

const ENOUGH_NOTES = 24; // to be of another song
/** A few bars of even notes look like a grid: that is judged of what is settled, and at the end. */
const NOT_YET: readonly CauseCode[] = ['timer-tick'];
const SETTLED_NOTES = 300;
const PATIENCE = 4; // times `settleNotes`, then what was heard is let go where the song is not found

/**
 * Judges a recording while it is being made, by the judge of `compareMusic`: what was heard so far is held against that part
 * of the song. What lies well behind is judged for good and its counts kept, so that a look takes no longer however long the
 * recording is.
 */
export class LiveComparison {
  readonly #timeline: Timeline;
  readonly #limits: LiveLimits;
  readonly #names: ComparedNames;
  readonly #written: WrittenMusic;
  readonly #judge: LiveJudge;
  readonly #pace: PaceSigns;
  readonly #parts: SongParts;
  readonly #heard = new LiveHeard();
  readonly #settled = new SettledParts();
  readonly #causes = new CausesSeen();
  readonly #beginning: Beginning;
  #nowMicros = 0;
  #from = FROM_ITS_BEGINNING;

  constructor(
    timeline: Timeline,
    names: ComparedNames,
    options: CompareOptions = COMPARE_DEFAULTS,
    limits: LiveLimits = LIVE_DEFAULTS,
  ) {
    this.#timeline = timeline;
    this.#names = names;
    this.#written = writtenMusic(timeline);
    this.#pace = new PaceSigns(timeline, this.#written, options.withinMicros);
    this.#beginning = new Beginning(this.#written, this.#pace.waits);
    this.#parts = new SongParts(timeline);
    this.#judge = new LiveJudge(this.#parts, this.#written, this.#heard, names, options);
    this.#limits = limits;
  }

  /** @param micros when the first of these bytes began */
  feed(bytes: Uint8Array, micros: number): void {
    this.#heard.feed(bytes, micros);
  }

  /** What somebody else saw, as a log's remark tells it. */
  told(kind: ToldKind): void {
    this.#heard.told(kind);
  }

  stoodStill(fromMicros: number, toMicros: number): void {
    this.#heard.stoodStill(fromMicros, toMicros);
  }

  get heldMessages(): number {
    return this.#heard.held;
  }

  /** What can be said now. @param nowMicros recording's time, also while nothing comes */
  look(nowMicros = this.#heard.lastMicros): LiveView {
    this.#nowMicros = nowMicros;
    let heard = this.#heard.rest();
    const possible = () => this.#beginning.possible(heard.on, this.#from.micros, this.#heard.lastMicros);
    let places = possible();
    const over = overAt(places);
    if (over >= 0) {
      const again = this.#beginning.again(heard, over, this.#heard.lastMicros);
      if (again === undefined) places = [];
      else if (heard.on.count - over < KNOWN_BY_NOTES)
        heard = this.#heard.rest(this.#heard.firstAfter(again));
      else {
        this.#begin(places[0]);
        this.#endPass(this.#heard.firstAfter(again), places[0]);
        heard = this.#heard.rest();
        places = possible();
      }
    } else places = notLongOver(places, heard.on.count);
    if (places.length === 0 && !this.#beginning.isSeen) this.#from = FROM_ITS_BEGINNING;
    if (this.#heard.isMuch(heard, this.#limits.settleNotes)) {
      this.#begin(places[0]);
      if (this.#settle(heard, places[0])) {
        heard = this.#heard.rest();
        places = notLongOver(possible(), heard.on.count);
      }
    }
    return this.#sureOf(this.#viewOf(places, heard));
  }

  /** Accused is only who is wrong wherever listening may have begun. */
  #viewOf(places: readonly SongPlace[], heard: HeardMusic): LiveView {
    const choose = (place: SongPlace): void => {
      this.#begin(place);
      this.#beginning.choose(place, places.length === 1, heard.on.count);
    };
    for (const place of places) {
      this.#begin(place);
      const view = this.#view(heard, place);
      if (!saysNothing(view)) continue;
      choose(place);
      return view;
    }
    if (places.length === 0) return this.#view(heard);
    choose(places[0]!);
    // Of many places of a song that repeats itself the right one may not have been asked.
    return this.#from.isLate && places.length === MOST_PLACES ? WAITING : this.#view(heard);
  }

  #begin(place: SongPlace | undefined): void {
    if (!this.#beginning.isSure && place !== undefined) this.#from = listenedFrom(this.#written, place);
  }

  /** @param known where all that was heard is as written */
  #view(heard: HeardMusic, known?: SongPlace): LiveView {
    if (heard.on.count < KNOWN_BY_NOTES && this.#settled.parts === 0) return WAITING;
    const place = this.#placeOf(heard, known);
    const signs = this.#paceSigns(heard);
    if (place === undefined) return { ...(heard.on.count < ENOUGH_NOTES ? WAITING : OTHER), signs };
    const { songMicros, heardUntil } = place;
    if (heardUntil < 0) return { ...WAITING, songMicros, signs };
    const end = this.#heard.firstAfter(heardUntil);
    const { part, document, comparison } = this.#judge.judge(place, end, {
      cut: this.#cut,
      unasked: NOT_YET,
      known,
    });
    const late = lateSigns(part, comparison);
    return { state: 'following', songMicros, soFar: document, signs: [...signs, ...late] };
  }

  /** With what is settled, and with those causes that are sure by now. */
  #sureOf(view: LiveView): LiveView {
    if (view.soFar === undefined) return view;
    const causes = this.#causes.sure(view.soFar, this.#settled.notes.heard);
    return { ...view, soFar: this.#settled.with({ ...view.soFar, causes }) };
  }

  #paceSigns(heard: HeardMusic): LiveSign[] {
    if (this.#heard.count === 0) return [];
    const until = { lastMicros: this.#heard.lastMicros, nowMicros: this.#nowMicros };
    return this.#pace.signs(heard, this.#from.micros, until, this.#from.place);
  }

  /** The recording is over: as `compare` judges it, in one or, where it was too long to be kept, in parts. */
  whole(): ComparisonDocument {
    this.#heard.finish();
    const all = this.#heard.room <= this.#limits.keptMessages ? this.#heard.all() : undefined;
    if (all !== undefined) return this.#judge.recording(this.#timeline, all);
    const [place] = this.#beginning.possible(
      this.#heard.rest().on,
      this.#from.micros,
      this.#heard.lastMicros,
    );
    return this.#settled.with(this.#judgeToEnd(this.#heard.count, place));
  }

  /** Of the song, for what is not settled. */
  get #cut(): Cut {
    return { isLate: this.#from.isLate, begins: this.#from.isLate && this.#settled.parts === 0, ends: true };
  }

  #judgeToEnd(end: number, known: SongPlace | undefined, unasked: readonly CauseCode[] = []) {
    const span = { fromMicros: this.#from.micros, toMicros: Number.POSITIVE_INFINITY };
    return this.#judge.judgeBest(span, end, { cut: { ...this.#cut, ends: false }, unasked, known });
  }

  /** The song is over, and begins again: each time is judged by itself. */
  #endPass(end: number, known: SongPlace | undefined): void {
    const document = this.#judgeToEnd(end, known, NOT_YET);
    const sure = document.causes.filter(({ code }) => this.#causes.isSeen(code));
    this.#settled.add(document, sure);
    this.#heard.settle(end, this.#limits.keptMessages);
    this.#heard.startOver();
    this.#beginning.startOver();
    this.#from = FROM_ITS_BEGINNING;
  }

  /** Judges for good what lies well behind. @returns false where it cannot be parted from the rest */
  #settle(heard: HeardMusic, known: SongPlace | undefined): boolean {
    const place = this.#placeOf(heard, known);
    const cut = place === undefined ? undefined : cutInRest(heard, place);
    if (cut === undefined) {
      if (!this.#heard.isMuch(heard, PATIENCE * this.#limits.settleNotes)) return false;
      const end = this.#heard.halfway();
      const { on, faults } = this.#heard.rest(end);
      this.#settled.addUnplaced(on.count, faultCounts(faults.byKind, this.#names.faults));
      this.#beginning.settle();
      this.#heard.settle(end, this.#limits.keptMessages);
      return true;
    }
    const end = this.#heard.firstAfter(cut.heardMicros);
    const span = { fromMicros: place!.fromMicros, toMicros: cut.songMicros };
    const document = this.#judge.judgeBest(span, end, { cut: this.#cut, known });
    const isMuch = document.notes.heard >= SETTLED_NOTES;
    const isSure = (code: CauseCode) => (NOT_YET.includes(code) ? isMuch : this.#causes.isSeen(code));
    this.#settled.add(
      document,
      document.causes.filter(({ code }) => isSure(code)),
    );
    this.#beginning.settle();
    this.#heard.settle(end, this.#limits.keptMessages);
    // Behind the cut, on which no note stands.
    this.#from = { ...this.#from, micros: cut.songMicros + 0.001, place: undefined };
    return true;
  }

  /** Which part of the song was heard, and until when all of it must have come; undefined where that cannot be told. */
  #placeOf(heard: HeardMusic, known?: SongPlace): Place | undefined {
    if (heard.on.count === 0) return undefined;
    if (known !== undefined) return placeByPairs(this.#written, this.#from.micros, heard, known);
    const found = placeFrom(this.#parts, this.#written, this.#from.micros, heard);
    if (found !== undefined || heard.on.count < ENOUGH_NOTES || this.#beginning.isSure) return found;
    const there = placeAnywhere(this.#timeline, this.#parts, this.#written, heard);
    if (there === undefined) return undefined;
    this.#from = { micros: there.fromMicros, isLate: there.fromMicros > 0, place: undefined };
    return there;
  }
}
