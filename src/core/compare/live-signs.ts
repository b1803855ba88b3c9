import { keyName } from '../midi/key-names.ts';
import { firstAfter, firstNotBefore } from '../timeline/sorted-values.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { isClockKnown, LEAST_PPM } from './clock-fit.ts';
import type { MusicComparison } from './compare-music.ts';
import { graininessOf } from './graininess.ts';
import type { HeardMusic } from './heard-music.ts';
import { type HeardUntil, type KnownStart, type LivePace, livePace, paceInOrder } from './live-pace.ts';
import { nthValue } from './nth-value.ts';
import { median } from './robust-line.ts';
import { heldUp } from './standstills.ts';
import { longestWaits } from './wire-waits.ts';
import type { WrittenMusic } from './written-music.ts';

/** What is heard to be wrong before its cause is sure. Bars, beats and channels count from 1. */
export type LiveSign = NoteSign | TimeSign;

interface NotePlace {
  readonly bar: number;
  readonly beat: number;
  readonly channel: number;
  readonly note: string;
}

/** `overdue`: it has not come; `held`: it came, and was not let go; `late`: by how much more than the rest. */
export type NoteSign =
  | (NotePlace & { readonly kind: 'overdue' | 'held' })
  | (NotePlace & { readonly kind: 'late'; readonly micros: number });

/**
 * `drift`: from there on notes come off their time by so much (positive: late); `uneven`: they come so far apart from one
 * another, beside what is written.
 */
export interface TimeSign {
  readonly kind: 'drift' | 'uneven';
  readonly bar: number;
  readonly beat: number;
  readonly micros: number;
}

const MOST_OF_A_KIND = 10;

/** Notes that are late, by the judge of the whole. */
export function lateSigns(
  timeline: Timeline,
  { clock, written, lateness, lateNotes }: MusicComparison,
): LiveSign[] {
  if (!isClockKnown(clock)) return [];
  return lateNotes
    .slice(0, MOST_OF_A_KIND)
    .map((note) => ({ kind: 'late', ...placeOf(timeline, written, note), micros: lateness.ofNote[note]! }));
}

/** What a note-by-note follower sees: what has not come, what was not let go, and where the time has gone. */
export class PaceSigns {
  readonly #timeline: Timeline;
  readonly #written: WrittenMusic;
  /** [written] Longest that each may wait for the wire. */
  readonly waits: Float64Array;
  readonly #withinMicros: number;

  constructor(timeline: Timeline, written: WrittenMusic, withinMicros: number) {
    this.#timeline = timeline;
    this.#written = written;
    this.waits = longestWaits(timeline.columns, written);
    this.#withinMicros = withinMicros;
  }

  /**
   * @param fromMicros song time at which begins what was heard
   * @param until which time it was
   * @param known of `livePace`
   */
  signs(heard: HeardMusic, fromMicros: number, until: HeardUntil, known?: KnownStart): LiveSign[] {
    const followed = livePace(this.#written, fromMicros, heard.on, this.waits, until, known);
    const isAsked = followed === undefined && known === undefined;
    const pace = isAsked ? paceInOrder(this.#written, fromMicros, heard.on) : followed;
    if (pace === undefined) return [];
    const sign = (kind: 'overdue' | 'held') => (note: number) => ({
      kind,
      ...placeOf(this.#timeline, this.#written, note),
    });
    const time = timeSign(
      this.#timeline,
      this.#written,
      waitsOf(this.waits, pace, heard, known !== undefined),
      pace,
      heard,
      { withinMicros: this.#withinMicros, fewestMoments: isAsked ? MOMENTS_IN_ORDER : FEWEST_MOMENTS },
    );
    return [
      ...pace.overdue.map(sign('overdue')),
      ...pace.unreleased.map(sign('held')),
      ...(time === undefined ? [] : [time]),
    ];
  }
}

function placeOf({ meterMap }: Timeline, { tick, channel, key }: WrittenMusic, note: number): NotePlace {
  const { bar, beat } = meterMap.barBeatAt(tick[note]!);
  return {
    bar,
    beat,
    channel: channel[note]! + 1,
    note: keyName(key[note]!),
  };
}

const WINDOW_MICROS = 20_000_000;
/** Clocks nobody would name wrong. */
const CLOCKS_PPM = [-1, -0.5, 0, 0.5, 1].map((part) => part * LEAST_PPM);
/** A second moment could be the first one that is wrong; with a third it is known where. */
const FEWEST_MOMENTS = 3;
/** But not of the first notes in their order, all of them, which are nowhere in the song so far apart. */
const MOMENTS_IN_ORDER = 2;
/** Through so many moments any unevenness is seen, and half of what is late is enough; but not the latest and earliest of them. */
const MANY_MOMENTS = 12;
const STRAYS = 0.1;
const GRAINS = 4;

interface Moment {
  readonly note: number;
  readonly songMicros: number;
  /** The earliest of its notes, and the latest without what it waits for the wire. */
  early: number;
  late: number;
}

/**
 * Two notes lie farther apart, or closer together, than they are written: whenever the song was begun, one of them is late, or
 * the other early. What a full wire explains is taken off, and what a clock may be off.
 */
function timeSign(
  timeline: Timeline,
  written: WrittenMusic,
  waits: Float64Array,
  pace: LivePace,
  heard: HeardMusic,
  { withinMicros, fewestMoments }: { readonly withinMicros: number; readonly fewestMoments: number },
): TimeSign | undefined {
  const moments = momentsOf(written, waits, pace, heldUp(heard.on, heard.standstills));
  if (moments.length < fewestMoments) return undefined;
  const grain = graininessOf(heard);
  let micros = spread(moments, 0);
  if (micros <= withinMicros + grain) {
    micros = moments.length < MANY_MOMENTS ? 0 : spread(moments, Math.floor(STRAYS * moments.length));
    if (micros <= Math.max(withinMicros / 2, GRAINS * grain)) return undefined;
  }
  const half = Math.min(3, moments.length >> 1);
  const middle = (some: readonly Moment[]) => median(Float64Array.from(some, (one) => one.early));
  const went = middle(moments.slice(-half)) - middle(moments.slice(0, half));
  const { bar, beat } = timeline.meterMap.barBeatAt(written.tick[moments.at(-1)!.note]!);
  if (Math.abs(went) > micros / 2) return { kind: 'drift', bar, beat, micros: went };
  return { kind: 'uneven', bar, beat, micros };
}

/** How far the late moments are from the early ones, but for some strays, by the clock under which that is least. */
function spread(moments: readonly Moment[], strays: number): number {
  const spreads = CLOCKS_PPM.map((ppm) => {
    const early = new Float64Array(moments.length);
    const late = new Float64Array(moments.length);
    for (const [n, one] of moments.entries()) {
      const off = (ppm * one.songMicros) / 1e6;
      early[n] = one.early - off;
      late[n] = one.late - off;
    }
    return nthValue(late, late.length - 1 - strays) - nthValue(early, strays);
  });
  return Math.min(...spreads);
}

/** On the wire (MIDI 1.0, p. 1): three bytes. */
const MESSAGE_MICROS = 960;

/**
 * [pace] how long each note may have waited for the wire: no longer than its song may make it, and no longer than what came
 * before it without a gap takes.
 * @param isJoined nobody knows what came before the first of it
 */
function waitsOf(
  longest: Float64Array,
  pace: LivePace,
  { on, bursts, burstMessage, sysEx }: HeardMusic,
  isJoined: boolean,
): Float64Array {
  const most = (note: number): number => {
    const burst = firstAfter(bursts, on.micros[note]!) - 1;
    const before = burstMessage[burst] ?? 0;
    const isLong = firstNotBefore(sysEx.message, before) < firstAfter(sysEx.message, on.message[note]!);
    if (isLong || (isJoined && burst <= 0)) return Number.POSITIVE_INFINITY;
    return MESSAGE_MICROS * (on.message[note]! - before);
  };
  return Float64Array.from(pace.written, (note, n) => Math.min(longest[note]!, most(pace.heard[n]!)));
}

/** The latest moments, but for those heard while the listener stood still. */
function momentsOf(
  written: WrittenMusic,
  waits: Float64Array,
  pace: LivePace,
  isHeldUp: Uint8Array,
): Moment[] {
  const byNumber = new Map<number, Moment>();
  const until = pace.written.reduce((most, note) => Math.max(most, written.micros[note]!), 0);
  for (let n = pace.written.length - 1; n >= 0; n -= 1) {
    const note = pace.written[n]!;
    if (isHeldUp[pace.heard[n]!] === 1) continue;
    const songMicros = written.micros[note]!;
    if (songMicros < until - WINDOW_MICROS && byNumber.size >= MANY_MOMENTS) break;
    const off = pace.offs[n]!;
    const one = byNumber.get(written.moment[note]!);
    if (one === undefined) {
      byNumber.set(written.moment[note]!, { note, songMicros, early: off, late: off - waits[n]! });
      continue;
    }
    one.early = Math.min(one.early, off);
    one.late = Math.max(one.late, off - waits[n]!);
  }
  return [...byNumber.values()].sort((a, b) => a.songMicros - b.songMicros);
}
