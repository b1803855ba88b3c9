import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';
import { heardValue } from './heard-value.ts';
import { leastLoss } from './least-loss.ts';
import { lastRowNotAfter, type NoteMoments, noteMoments } from './note-moments.ts';
import type { NoteWeights } from './note-weights.ts';
import type { PlaceProblem } from './place-problem.ts';
import { LEFT_OUT, OWN_END } from './played-notes.ts';

export interface VoicePlanOptions {
  readonly voices: number;
  /** A note holds its voice for so long after its end: 0 where the instrument takes such voices anyway. */
  readonly tailMicros: number;
  /** [notes] voices a note takes; undefined: one. */
  readonly each: Uint8Array | undefined;
  /** [notes] LEFT_OUT for those that are not sounded whatever voices there are; undefined: all are. */
  readonly unheard?: Uint32Array;
}

/**
 * Which notes to leave out or to end early so that no more sound at once than there are voices, at the least loss.
 * A note may end wherever others begin and voices are short.
 * @returns [notes] row with which each ends, OWN_END, or LEFT_OUT
 */
export function voicePlan(
  columns: TimelineColumns,
  durationMicros: number,
  notes: HeardNotes,
  weights: NoteWeights,
  options: VoicePlanOptions,
): Uint32Array {
  return new VoiceProblem(columns, durationMicros, notes, weights, options).solve();
}

interface VoiceChains extends PlaceProblem {
  /** [chains] note whose voice each is. */
  readonly chainNote: Uint32Array;
}

class VoiceProblem {
  readonly #columns: TimelineColumns;
  readonly #duration: number;
  readonly #notes: HeardNotes;
  readonly #weights: NoteWeights;
  readonly #options: VoicePlanOptions;
  readonly #moments: NoteMoments;
  /** [notes] last moment at which it still has its voice. */
  readonly #last: Uint32Array;
  /** Moments with too few voices, ascending. */
  readonly #short: Uint32Array;
  /** [moments + 1] how many of those come before each. */
  readonly #shortBefore: Uint32Array;

  constructor(
    columns: TimelineColumns,
    duration: number,
    notes: HeardNotes,
    weights: NoteWeights,
    options: VoicePlanOptions,
  ) {
    this.#columns = columns;
    this.#duration = duration;
    this.#notes = notes;
    this.#weights = weights;
    this.#options = options;
    this.#moments = noteMoments(columns, notes);
    this.#last = this.#lastMoments();
    this.#shortBefore = new Uint32Array(this.#moments.count + 1);
    this.#short = Uint32Array.from(this.#findShort());
  }

  solve(): Uint32Array {
    const endOf = new Uint32Array(this.#notes.count).fill(OWN_END);
    const problem = this.#problem();
    const kept = leastLoss(problem);
    for (let chain = 0; chain < kept.length; chain += 1) {
      const note = problem.chainNote[chain]!;
      const length = problem.pieceStart[chain + 1]! - problem.pieceStart[chain]!;
      if (kept[chain]! >= length) continue;
      const point = problem.first[chain]! + kept[chain]!;
      // Of a note that takes two voices the half that ends first decides.
      endOf[note] = sooner(endOf[note]!, this.#endAt(note, point));
    }
    return endOf;
  }

  #lastMoments(): Uint32Array {
    const { micros } = this.#columns;
    const { row, of, count } = this.#moments;
    const last = new Uint32Array(this.#notes.count);
    for (let note = 0; note < last.length; note += 1) {
      const end = this.#notes.endRow[note]!;
      const until = this.#endMicros(note) + this.#options.tailMicros;
      const again = this.#isStruckAgain(note);
      let moment = of[note]!;
      while (moment + 1 < count) {
        const next = row[moment + 1]!;
        if (next >= end && (again || micros[next]! >= until)) break;
        moment += 1;
      }
      last[note] = moment;
    }
    return last;
  }

  /** It ends because its own key is struck: the new note takes its voice over. */
  #isStruckAgain(note: number): boolean {
    const { status, data1, data2, count } = this.#columns;
    const end = this.#notes.endRow[note]!;
    if (end >= count) return false;
    return (
      status[end] === (0x90 | this.#notes.channel[note]!) &&
      data2[end]! > 0 &&
      data1[end] === this.#notes.key[note]
    );
  }

  #endMicros(note: number): number {
    const end = this.#notes.endRow[note]!;
    return end < this.#columns.count ? this.#columns.micros[end]! : this.#duration;
  }

  #findShort(): number[] {
    const { count, of } = this.#moments;
    const change = new Int32Array(count + 1);
    for (let note = 0; note < this.#notes.count; note += 1) {
      const voices = this.#voicesOf(note);
      change[of[note]!]! += voices;
      change[this.#last[note]! + 1]! -= voices;
    }
    const short: number[] = [];
    for (let moment = 0, used = 0; moment < count; moment += 1) {
      this.#shortBefore[moment] = short.length;
      used += change[moment]!;
      if (used > this.#options.voices) short.push(moment);
    }
    this.#shortBefore[count] = short.length;
    return short;
  }

  /** Notes in the order of their first point; the chains of one note that takes several voices share its worth. */
  #problem(): VoiceChains {
    const { chains, pieces } = this.#size();
    const chainNote = new Uint32Array(chains);
    const first = new Uint32Array(chains);
    const pieceStart = new Uint32Array(chains + 1);
    const value = new Float64Array(pieces);
    let chain = 0;
    let piece = 0;
    // Notes come in order of time, and so do the first points of those that have one.
    for (let note = 0; note < this.#notes.count; note += 1) {
      const [from, to] = [this.#firstPoint(note), this.#lastPoint(note)];
      const voices = to > from ? this.#voicesOf(note) : 0;
      if (voices === 0) continue;
      const wholeSeconds = this.#seconds(note, this.#endMicros(note));
      const start = piece;
      for (let point = from, before = this.#valueUntil(note, from, wholeSeconds); point < to; point += 1) {
        const next = point + 1;
        const after =
          next < to
            ? this.#valueUntil(note, next, wholeSeconds)
            : this.#value(note, wholeSeconds, wholeSeconds);
        value[piece++] = Math.max(0, after / voices - before / voices);
        before = after;
      }
      for (let voice = 1; voice < voices; voice += 1, piece += to - from) {
        value.copyWithin(piece, start, start + to - from);
      }
      for (let voice = 0; voice < voices; voice += 1, chain += 1) {
        chainNote[chain] = note;
        first[chain] = from;
        pieceStart[chain + 1] = pieceStart[chain]! + to - from;
      }
    }
    return { chainNote, points: this.#short.length, places: this.#options.voices, first, pieceStart, value };
  }

  #size(): { readonly chains: number; readonly pieces: number } {
    let chains = 0;
    let pieces = 0;
    for (let note = 0; note < this.#notes.count; note += 1) {
      const points = this.#lastPoint(note) - this.#firstPoint(note);
      const voices = points > 0 ? this.#voicesOf(note) : 0;
      chains += voices;
      pieces += voices * points;
    }
    return { chains, pieces };
  }

  /** Index of the first short moment that the note lasts through, and of the first that it does not. */
  #firstPoint(note: number): number {
    return this.#shortBefore[this.#moments.of[note]!]!;
  }

  #lastPoint(note: number): number {
    return this.#shortBefore[this.#last[note]! + 1]!;
  }

  #voicesOf(note: number): number {
    const { each, unheard } = this.#options;
    return unheard?.[note] === LEFT_OUT ? 0 : (each?.[note] ?? 1);
  }

  /** What is heard of it when it gives its voice up at a point. */
  #valueUntil(note: number, point: number, wholeSeconds: number): number {
    const end = this.#endAt(note, point);
    if (end === LEFT_OUT) return 0;
    return this.#value(note, this.#seconds(note, this.#columns.micros[end]!), wholeSeconds);
  }

  #value(note: number, seconds: number, wholeSeconds: number): number {
    return this.#weights.weight[note]! * heardValue(seconds, wholeSeconds, this.#weights.decay[note]!);
  }

  #seconds(note: number, end: number): number {
    return (end - this.#columns.micros[this.#notes.onRow[note]!]!) / 1e6;
  }

  /** The row with which it must end to have given its voice up at a point that it lasts through, its tail counted. */
  #endAt(note: number, point: number): number {
    const moment = this.#short[point]!;
    if (moment <= this.#moments.of[note]!) return LEFT_OUT;
    const row = this.#moments.row[moment]!;
    const { tailMicros } = this.#options;
    if (tailMicros === 0) return row;
    const { micros } = this.#columns;
    const onRow = this.#notes.onRow[note]!;
    const early = lastRowNotAfter(micros, onRow, row, micros[row]! - tailMicros);
    return micros[early]! > micros[onRow]! ? early : LEFT_OUT;
  }
}

function sooner(one: number, other: number): number {
  if (one === LEFT_OUT || other === LEFT_OUT) return LEFT_OUT;
  return Math.min(one, other);
}
