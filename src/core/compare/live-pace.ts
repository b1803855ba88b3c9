import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { HeardNotes } from './heard-music.ts';
import { noteStreams, STREAMS } from './note-streams.ts';
import { explainedBy, firstInOrder, startOf, strangers } from './pace-start.ts';
import { median } from './robust-line.ts';
import { OVERDUE_MICROS } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';

/** A recording followed note by note from a beginning that is known: what can be said at once, before more has come. */
export interface LivePace {
  /** Recording's time of song time 0. */
  readonly startMicros: number;
  /** By how much the latest notes come late (positive) or early. */
  readonly offMicros: number;
  /** Notes heard that are written, in the order they came: which one each is, and how late for `startMicros`. */
  readonly written: Uint32Array;
  readonly heard: Uint32Array;
  readonly offs: Float64Array;
  /** Written notes that ought to have come `OVERDUE_MICROS` ago and have not, ascending; the first few. */
  readonly overdue: readonly number[];
  /** Written notes that came and ought to have been let go so long ago. */
  readonly unreleased: readonly number[];
}

/** Of the latest notes heard so many must stand where they are written. */
const LATEST_HEARD = 16;
const LATEST_EXPLAINED = 0.6;
/** The next of its key in order, where it is no farther off; else the nearest. */
const IN_ORDER_MICROS = 60_000;
const REACH_MICROS = 500_000;
/** Moments whose middle says by how much notes come late by now. */
const LATEST = 7;
const MOST_TOLD = 10;

/** Where listening began, of a `SongPlace`. */
export interface KnownStart {
  /** Recording's time of song time 0. */
  readonly startMicros: number;
  /** Song time of the earliest note that was heard, and from which on every one was. */
  readonly earliestMicros: number;
  readonly wholeFromMicros: number;
}

/** Recording's time of the last message, and by now. */
export interface HeardUntil {
  readonly lastMicros: number;
  readonly nowMicros: number;
}

/**
 * Follows what is heard from the beginning of a part of the song: the n-th strike of a key is its n-th written one, or the
 * nearest where one was lost.
 * @param fromMicros song time at which the part begins
 * @param waits [written] longest that each may wait for the wire
 * @param time recording's time of the last message, and by now
 * @param known where it began, if that is known: in place of `fromMicros`
 * @returns undefined while it is not known where in the song it is
 */
export function livePace(
  written: WrittenMusic,
  fromMicros: number,
  heard: HeardNotes,
  waits: Float64Array,
  { lastMicros, nowMicros }: HeardUntil,
  known?: KnownStart,
): LivePace | undefined {
  const first = firstNotBefore(written.micros, known?.earliestMicros ?? fromMicros);
  const startMicros = known?.startMicros ?? startOf(written, first, heard);
  if (startMicros === undefined) return undefined;
  const until = firstNotBefore(written.micros, nowMicros - startMicros + REACH_MICROS);
  const ours = partOf(written, first, Math.max(first, until));
  const streams = noteStreams(ours);
  const next = streams.start.slice(0, STREAMS);
  const heardOf = new Int32Array(ours.count).fill(-1);
  const cameOf = new Uint32Array(STREAMS);
  const pairs = { written: new Uint32Array(heard.count), heard: new Uint32Array(heard.count) };
  const offs = new Float64Array(heard.count);
  let count = 0;
  let offMicros = 0;
  /** Notes from which on as many are due as are written. */
  const whole = known === undefined ? 0 : firstNotBefore(ours.micros, known.wholeFromMicros);
  for (let note = 0; note < heard.count; note += 1) {
    const stream = (heard.channel[note]! << 7) | heard.key[note]!;
    const at = heard.micros[note]! - startMicros - offMicros;
    const place = placeIn(ours.micros, streams.notes, next[stream]!, streams.start[stream + 1]!, at);
    const found = place < 0 ? -1 : streams.notes[place]!;
    if (found < 0 || found >= whole) cameOf[stream]! += 1;
    if (found < 0) continue;
    next[stream] = place + 1;
    heardOf[found] = note;
    pairs.written[count] = first + found;
    pairs.heard[count] = note;
    offs[count] = heard.micros[note]! - startMicros - ours.micros[found]!;
    count += 1;
    offMicros = median(offs.slice(Math.max(0, count - LATEST), count));
  }
  const latest = Math.max(0, heard.count - LATEST_HEARD);
  const explained = explainedBy(written, first, heard, latest, heard.count, startMicros + offMicros);
  // It has gone elsewhere, or was only like the beginning; but what is written nowhere is nowhere else either.
  const least = LATEST_EXPLAINED * (heard.count - latest);
  if (explained < least && explained + strangers(written, heard, latest) < least) return undefined;
  const lateMicros = startMicros + Math.max(0, offMicros);
  const limit = nowMicros - lateMicros - OVERDUE_MICROS;
  // Silence accuses nobody, for who was stopped is silent as well: only what was due before the last message is missed.
  const last = lastMicros - lateMicros - IN_ORDER_MICROS;
  const isOver = (due: number, wait: number) => due < limit && due + wait < last;
  const overdue: number[] = [];
  const unreleased: number[] = [];
  for (let stream = 0; stream < STREAMS; stream += 1) {
    const [start, end] = [streams.start[stream]!, streams.start[stream + 1]!];
    if (start === end) continue;
    const notes = streams.notes.subarray(start, end);
    const owed = notes.subarray(firstNotBefore(notes, whole));
    let due = 0;
    let ended = 0;
    let ends = 0;
    for (const note of owed) {
      if (isOver(ours.micros[note]!, waits[first + note]!)) due += 1;
      const found = heardOf[note]!;
      if (found < 0) continue;
      if (isOver(written.offMicros[first + note]!, waits[first + note]!)) ends += 1;
      if (!Number.isNaN(heard.offMicros[found]!)) ended += 1;
    }
    // As often as it is written by now it came, whichever of them is which.
    let missing = due - cameOf[stream]!;
    for (const note of owed.subarray(0, due)) {
      if (missing <= 0) break;
      if (heardOf[note]! >= 0) continue;
      overdue.push(first + note);
      missing -= 1;
    }
    // The releases of a key come in the order of its strikes: those that are over are the first.
    let held = ends - ended;
    for (const note of owed) {
      if (held <= 0) break;
      const found = heardOf[note]!;
      if (found < 0 || !Number.isNaN(heard.offMicros[found]!)) continue;
      unreleased.push(first + note);
      held -= 1;
    }
  }
  return {
    startMicros,
    offMicros,
    written: pairs.written.subarray(0, count),
    heard: pairs.heard.subarray(0, count),
    offs: offs.subarray(0, count),
    overdue: overdue.sort((a, b) => a - b).slice(0, MOST_TOLD),
    unreleased: unreleased.sort((a, b) => a - b).slice(0, MOST_TOLD),
  };
}

/** Whoever plays the first notes in their order, however far apart: nothing of it is missing. @returns undefined where it is not so */
export function paceInOrder(
  written: WrittenMusic,
  fromMicros: number,
  heard: HeardNotes,
): LivePace | undefined {
  const found = firstInOrder(written, firstNotBefore(written.micros, fromMicros), heard);
  if (found === undefined) return undefined;
  const startMicros = heard.micros[0]! - written.micros[found[0]!]!;
  const offs = Float64Array.from(found, (one, n) => heard.micros[n]! - startMicros - written.micros[one]!);
  const offMicros = median(offs.slice(-LATEST));
  const ours = Uint32Array.from(found, (_, n) => n);
  return { startMicros, offMicros, written: found, heard: ours, offs, overdue: [], unreleased: [] };
}

function partOf({ micros, channel, key }: WrittenMusic, from: number, to: number) {
  return {
    count: to - from,
    micros: micros.subarray(from, to),
    channel: channel.subarray(from, to),
    key: key.subarray(from, to),
  };
}

/** Of the notes of a key not taken yet: the next, or the nearest. @returns its place in `notes`, −1 for none near */
function placeIn(micros: Float64Array, notes: Uint32Array, from: number, to: number, at: number): number {
  if (from < to && Math.abs(micros[notes[from]!]! - at) <= IN_ORDER_MICROS) return from;
  let best = -1;
  let least = REACH_MICROS;
  for (let place = from; place < to && micros[notes[place]!]! < at + least; place += 1) {
    const off = Math.abs(micros[notes[place]!]! - at);
    if (off >= least) continue;
    least = off;
    best = place;
  }
  return best;
}
