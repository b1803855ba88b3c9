import type { Timeline } from '../timeline/timeline.ts';
import { fileOrderPlan } from '../wire/file-order-plan.ts';
import { onsetBound } from '../wire/onset-bound.ts';
import { simulatePlan } from '../wire/simulate-plan.ts';
import { MIDI_WIRE, type WireTraits } from '../wire/wire-traits.ts';
import type { Cause, CauseCode } from './cause.ts';
import { statusFaults } from './causes/status-faults.ts';
import { causesOf } from './causes.ts';
import { type ClockFit, clockFit } from './clock-fit.ts';
import type { HeardMusic } from './heard-music.ts';
import { type Lateness, latenessOf } from './lateness.ts';
import { FEWEST_MOMENTS, type MatchedMusic, matchMusic } from './match-music.ts';
import { NoteDifferences, noteDifferences } from './note-differences.ts';
import { STREAMS } from './note-streams.ts';
import { type StateDifference, stateDifferences } from './state-differences.ts';
import { NO_SYSEX_COMPARED, type SysExComparison, sysExDifferences } from './sysex-differences.ts';
import { type WrittenMusic, writtenMusic } from './written-music.ts';

/** A recording judged against its song. */
export interface MusicComparison {
  /** False: so little of it is in the recording that it is another song, or none. */
  readonly isTheSong: boolean;
  readonly verdict: 'same' | 'differs';
  readonly written: WrittenMusic;
  readonly heard: HeardMusic;
  readonly matched: MatchedMusic;
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
}

export const COMPARE_DEFAULTS: CompareOptions = { withinMicros: 20_000 };

/** Fewer matched notes, as a share of what could be, are chance. */
const LEAST_SHARE = 0.3;

export function compareMusic(
  timeline: Timeline,
  heard: HeardMusic,
  { withinMicros, expected = [] }: CompareOptions = COMPARE_DEFAULTS,
): MusicComparison {
  const written = writtenMusic(timeline);
  const matched = matchMusic(timeline, written, heard);
  const clock = clockFit(timeline, written, heard, matched);
  const lateness = latenessOf(written, heard, matched, clock);
  const state = stateDifferences(timeline, written, heard, matched);
  const boundMaxMicros = onsetBound(timeline.columns, MIDI_WIRE).worstMicros;
  const isTimed =
    heard.hasTimes && matched.law !== 'no-timing' && clock.points.notes.length >= FEWEST_MOMENTS;
  const lateNotes = isTimed ? notesLate(timeline, written, lateness, boundMaxMicros, withinMicros) : [];
  const { hanging, offsMissing } = releases(written, heard, matched);
  const share = matched.matching.matched / Math.max(1, Math.min(written.count, heard.on.count));
  const status = statusFaults(timeline, heard);
  // A player that gets every status wrong has left hardly a note where it was, and it is the song all the same.
  const isTheSong =
    written.count > 0 &&
    heard.messages > 0 &&
    ((share >= LEAST_SHARE && heard.on.count > 0) || status !== undefined);
  const notes = isTheSong
    ? noteDifferences(written, heard.on, matched)
    : NoteDifferences.counted(written.count, heard.on.count, matched.matching.matched);
  const sysEx = isTheSong
    ? sysExDifferences(timeline, written, heard, matched, notes.missing + notes.added === 0)
    : NO_SYSEX_COMPARED;
  const known = { timeline, written, heard, matched, clock, lateness, notes, offsMissing, status };
  const causes = isTheSong ? causesOf(known, expected) : [];
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
    verdict: isSame ? 'same' : 'differs',
    written,
    heard,
    matched,
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

function releases(written: WrittenMusic, heard: HeardMusic, { matching }: MatchedMusic) {
  const { on } = heard;
  const voiceOf = (note: number) => (on.channel[note]! << 7) | on.key[note]!;
  // As many strikes of a key as the song itself never lets go are no fault, whichever of them the releases came to end.
  const mayStay = new Uint32Array(STREAMS);
  for (let note = 0; note < written.count; note += 1) {
    const found = matching.heardOf[note]!;
    if (found >= 0 && Number.isNaN(written.offMicros[note]!)) mayStay[voiceOf(found)]! += 1;
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
