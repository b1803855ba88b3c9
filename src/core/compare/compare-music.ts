import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { fileOrderPlan } from '../wire/file-order-plan.ts';
import { onsetBound } from '../wire/onset-bound.ts';
import { simulatePlan } from '../wire/simulate-plan.ts';
import { MIDI_WIRE, type WireTraits } from '../wire/wire-traits.ts';
import type { Cause, CauseCode } from './cause.ts';
import { statusFaults } from './causes/status-faults.ts';
import { causesOf } from './causes.ts';
import { type ClockFit, clockFit } from './clock-fit.ts';
import { type Coverage, type Cut, coverageOf, isOffUnheard, UNCUT, wholeSong } from './coverage.ts';
import type { HeardMusic } from './heard-music.ts';
import { type Lateness, latenessOf } from './lateness.ts';
import { FEWEST_MOMENTS, type MatchedMusic, matchMusic } from './match-music.ts';
import { matchedAs } from './matched-as.ts';
import { NoteDifferences, noteDifferences } from './note-differences.ts';
import { STREAMS } from './note-streams.ts';
import { type SongPlaces, songPlaces } from './song-places.ts';
import { type StateDifference, stateDifferences } from './state-differences.ts';
import { NO_SYSEX_COMPARED, type SysExComparison, sysExDifferences } from './sysex-differences.ts';
import { type WrittenMusic, writtenMusic } from './written-music.ts';

/** A recording judged against its song. */
export interface MusicComparison {
  /** False: so little of it is in the recording that it is another song, or none. */
  readonly isTheSong: boolean;
  /** `part`: the same, but it was not heard from its beginning to its end. */
  readonly verdict: 'same' | 'part' | 'differs';
  readonly written: WrittenMusic;
  readonly heard: HeardMusic;
  readonly matched: MatchedMusic;
  readonly coverage: Coverage;
  readonly notes: NoteDifferences;
  readonly state: readonly StateDifference[];
  readonly sysEx: SysExComparison;
  readonly clock: ClockFit;
  readonly lateness: Lateness;
  /** The latest a note must be on a 31,250-baud wire (`onsetBound`). */
  readonly boundMaxMicros: number;
  /** Written notes that count as late, ascending. */
  readonly lateNotes: readonly number[];
  /** Notes heard whose note-off is written and did not come. */
  readonly offsMissing: number;
  /** Keys still sounding at the recording's end, each with the first strike that was never let go. */
  readonly hanging: readonly { readonly channel: number; readonly key: number; readonly micros: number }[];
  readonly causes: readonly Cause[];
}

export interface CompareOptions {
  /** How much later than the wire allows a note may be before it counts as late. */
  readonly withinMicros: number;
  /** Causes that were asked for, and so are none: a prepared song is on a grid. */
  readonly expected?: readonly CauseCode[];
  /** The song is cut where hearing began, or where it ended, and not the recording. */
  readonly cut?: Cut;
  /** [heard] which written note each is, where that is known, and all are in time; −1: none. */
  readonly pairs?: Int32Array | undefined;
}

export const COMPARE_DEFAULTS: CompareOptions = { withinMicros: 20_000 };

/** What is found out about the song once, however often it is compared. */
export interface KnownSong {
  readonly written: WrittenMusic;
  readonly places: SongPlaces;
}

/** A few bars of even notes, out of a song, look like a grid. */
const GRID_NOTES = 300;
/** Fewer matched notes, as a share of what could be, are chance. */
const LEAST_SHARE = 0.3;

export function compareMusic(
  timeline: Timeline,
  heard: HeardMusic,
  options: CompareOptions = COMPARE_DEFAULTS,
  known?: KnownSong,
): MusicComparison {
  const written = known?.written ?? writtenMusic(timeline);
  const { pairs } = options;
  if (pairs !== undefined) return judge(timeline, written, heard, matchedAs(written, heard, pairs), options);
  // Of a part only it is known where it belongs if all of it is as written there; in a song that repeats itself it may be one of some.
  const isPart = heard.hasTimes && heard.on.count < written.count && options.cut === undefined;
  const places = () => known?.places ?? songPlaces(timeline, written);
  const found = isPart ? places().find(heard.on, 0, heard.lastMicros) : [];
  let first: MusicComparison | undefined;
  for (const { writtenOf, overAt } of found) {
    // The song would be over in the middle of the recording: that says nothing of what comes then.
    if (overAt >= 0) continue;
    const judged = judge(timeline, written, heard, matchedAs(written, heard, writtenOf), options);
    if (judged.verdict !== 'differs') return judged;
    first ??= judged;
  }
  return first ?? judge(timeline, written, heard, matchMusic(timeline, written, heard), options);
}

function judge(
  timeline: Timeline,
  written: WrittenMusic,
  heard: HeardMusic,
  matched: MatchedMusic,
  { withinMicros, expected = [], cut = UNCUT }: CompareOptions,
): MusicComparison {
  const clock = clockFit(timeline, written, heard, matched);
  const lateness = latenessOf(written, heard, matched, clock);
  const share = matched.matching.matched / Math.max(1, Math.min(written.count, heard.on.count));
  const status = statusFaults(timeline, heard, cut.begins ? atBeginning(timeline, written, heard) : 0);
  // A player that gets every status wrong has left hardly a note where it was, and it is the song all the same.
  const isTheSong = written.count > 0 && (share >= LEAST_SHARE || status !== undefined);
  const coverage = isTheSong
    ? coverageOf(timeline.columns, written, heard, matched, cut)
    : wholeSong(written.count);
  const state = stateDifferences(timeline, written, heard, matched, coverage);
  const boundMaxMicros = onsetBound(timeline.columns, MIDI_WIRE).worstMicros;
  const isTimed =
    isTheSong && heard.hasTimes && matched.law !== 'no-timing' && clock.points.notes.length >= FEWEST_MOMENTS;
  const lateNotes = isTimed ? notesLate(timeline, written, lateness, boundMaxMicros, withinMicros) : [];
  const { hanging, offsMissing } = releases(written, heard, matched, coverage);
  const notes = isTheSong
    ? noteDifferences(written, heard.on, matched, coverage)
    : NoteDifferences.counted(written.count, heard.on.count, matched.matching.matched);
  const sysEx = isTheSong
    ? sysExDifferences(timeline, written, heard, matched, coverage, notes.missing + notes.added === 0)
    : NO_SYSEX_COMPARED;
  const known = { timeline, written, heard, matched, coverage, clock, lateness, notes, offsMissing, status };
  const isFew = coverage.unheard > 0 && heard.on.count < GRID_NOTES;
  const causes = isTheSong ? causesOf(known, isFew ? [...expected, 'timer-tick'] : expected) : [];
  const isSame =
    isTheSong &&
    notes.length === 0 &&
    state.length === 0 &&
    sysEx.differences.length === 0 &&
    lateNotes.length === 0 &&
    offsMissing === 0 &&
    hanging.length === 0 &&
    causes.length === 0 &&
    heard.faults.count === 0;
  return {
    isTheSong,
    verdict: !isSame ? 'differs' : coverage.unheard > 0 ? 'part' : 'same',
    written,
    heard,
    matched,
    coverage,
    notes,
    state,
    sysEx,
    clock,
    lateness,
    boundMaxMicros,
    lateNotes,
    offsMissing,
    hanging,
    causes,
  };
}

/** Messages that only one side has where a part begins: what was set before it, and releases of notes that were struck before. */
function atBeginning({ columns }: Timeline, { micros }: WrittenMusic, heard: HeardMusic): number {
  return heard.surplusOffs.length + firstNotBefore(columns.micros.subarray(0, columns.count), micros[0] ?? 0);
}

function notesLate(
  timeline: Timeline,
  written: WrittenMusic,
  { ofNote, maxMicros }: Lateness,
  boundMaxMicros: number,
  withinMicros: number,
): number[] {
  if (maxMicros <= boundMaxMicros + withinMicros) return [];
  const excuse = wireExcuse(timeline, written);
  const late: number[] = [];
  for (let note = 0; note < written.count; note += 1) {
    if (ofNote[note]! > Math.max(boundMaxMicros, excuse[note]!) + withinMicros) late.push(note);
  }
  return late;
}

/**
 * How late each note is where a player hands the song over in the order of its file and at its moments, and only the
 * wire is in the way: no fault of the player's, though another order would be better (`check` says how much).
 */
function wireExcuse({ columns }: Timeline, written: WrittenMusic): Float64Array {
  const run = simulatePlan(fileOrderPlan(columns), WHOLE_MESSAGES, { allowSysEx: true });
  return written.micros.map((due, note) => run.endMicros[written.row[note]!]! - due);
}

/** As a player may send that uses no running status. */
const WHOLE_MESSAGES: WireTraits = { ...MIDI_WIRE, runningStatus: 'device' };

function releases(written: WrittenMusic, heard: HeardMusic, matched: MatchedMusic, coverage: Coverage) {
  const { matching } = matched;
  const { on } = heard;
  const voiceOf = (note: number) => (on.channel[note]! << 7) | on.key[note]!;
  // As many strikes of a key as the song itself never lets go, or not before the recording ends, are no fault, whichever of them the releases came to end.
  const mayStay = new Uint32Array(STREAMS);
  for (let note = 0; note < written.count; note += 1) {
    const found = matching.heardOf[note]!;
    if (found < 0) continue;
    if (Number.isNaN(written.offMicros[note]!) || isOffUnheard(written, matched, coverage, note))
      mayStay[voiceOf(found)]! += 1;
  }
  const open = new Uint32Array(STREAMS);
  for (let note = 0; note < on.count; note += 1) {
    if (Number.isNaN(on.offMicros[note]!)) open[voiceOf(note)]! += 1;
  }
  const hanging: { channel: number; key: number; micros: number }[] = [];
  const hangs = new Uint8Array(STREAMS);
  let offsMissing = 0;
  for (let note = 0; note < on.count; note += 1) {
    const voice = voiceOf(note);
    if (!Number.isNaN(on.offMicros[note]!) || open[voice]! <= mayStay[voice]!) continue;
    open[voice]! -= 1;
    if (matching.writtenOf[note]! >= 0) offsMissing += 1;
    if (hangs[voice] === 0)
      hanging.push({ channel: on.channel[note]!, key: on.key[note]!, micros: on.micros[note]! });
    hangs[voice] = 1;
  }
  return { hanging, offsMissing };
}
