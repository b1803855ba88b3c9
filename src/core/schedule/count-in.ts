import { DRUM_CHANNEL } from '../instrument/general-midi.ts';
import type { MeterMap } from '../timeline/meter-map.ts';
import type { TempoMap } from '../timeline/tempo-map.ts';
import type { Sender } from './sender.ts';
import type { Sounding } from './sounding.ts';

/**
 * Beats by song time, in columns a sending thread can share: at `micros[i]` a stretch begins in which a beat
 * lasts `beatMicros[i]` and a bar has `beats[i]` of them.
 */
export interface BeatTable {
  readonly count: number;
  readonly micros: Float64Array;
  readonly beatMicros: Float64Array;
  readonly beats: Uint8Array;
}

/** The beats of a song; every change of tempo or meter begins a stretch. */
export function beatTableOf(tempoMap: TempoMap, meterMap: MeterMap): BeatTable {
  const starts = new Set<number>();
  for (const stretch of tempoMap.stretches) starts.add(stretch.tick);
  for (const change of meterMap.changes) starts.add(change.tick);
  const ticks = [...starts].sort((a, b) => a - b);
  const micros = new Float64Array(new SharedArrayBuffer(ticks.length * 8));
  const beatMicros = new Float64Array(new SharedArrayBuffer(ticks.length * 8));
  const beats = new Uint8Array(new SharedArrayBuffer(ticks.length));
  let meter = 0;
  for (let i = 0; i < ticks.length; i += 1) {
    const tick = ticks[i]!;
    while (meter + 1 < meterMap.changes.length && meterMap.changes[meter + 1]!.tick <= tick) meter += 1;
    const change = meterMap.changes[meter];
    micros[i] = tempoMap.microsAt(tick);
    const stretch = tempoMap.stretchAt(micros[i]!);
    const denominator = change?.denominator ?? 4;
    beatMicros[i] = (stretch.microsPerQuarter * 4) / denominator;
    beats[i] = Math.min(255, change?.numerator ?? 4);
  }
  return { count: ticks.length, micros, beatMicros, beats };
}

/** Wood blocks of the General MIDI percussion map, the high one for the first beat of a bar (common practice). */
const FIRST_BEAT_KEY = 76;
const BEAT_KEY = 77;
const FIRST_BEAT_VELOCITY = 112;
const BEAT_VELOCITY = 88;
const CLICK_MICROS = 50_000;

/** Places in `CountIn.times`. */
const BEAT = 0;
const LENGTH = 1;
const NEXT = 2;

/** Bars of clicks before the music. Every click is two steps: struck, and released. */
export class CountIn {
  readonly bars: number;
  readonly #table: BeatTable | undefined;
  readonly #times = new Float64Array(3);
  #beats = 4;
  #steps = 0;
  #step = 0;
  readonly #channel: number;

  constructor(bars: number, table: BeatTable | undefined, channel: number = DRUM_CHANNEL) {
    this.#channel = channel;
    this.bars = table === undefined ? 0 : Math.max(0, Math.floor(bars));
    this.#table = table;
  }

  /** Gets ready for a start at this song time. Returns how long (song µs) the clicks take before it. */
  prepare(startMicros: number): number {
    const table = this.#table;
    this.#steps = 0;
    this.#step = 0;
    this.#times[NEXT] = Infinity;
    if (this.bars === 0 || table === undefined) return 0;
    let row = 0;
    while (row + 1 < table.count && table.micros[row + 1]! <= startMicros) row += 1;
    const beat = table.beatMicros[row] ?? 500_000;
    this.#beats = table.beats[row] ?? 4;
    this.#steps = this.bars * this.#beats * 2;
    this.#times[BEAT] = beat;
    this.#times[LENGTH] = this.bars * this.#beats * beat;
    this.#times[NEXT] = 0;
    return this.#times[LENGTH]!;
  }

  cancel(): void {
    this.#steps = 0;
    this.#step = 0;
    this.#times[NEXT] = Infinity;
  }

  get pending(): boolean {
    return this.#step < this.#steps;
  }

  /** Writes the offset (song µs since the count began) of the next step. */
  nextOffset(into: Float64Array, place: number): void {
    into[place] = this.#times[NEXT]!;
  }

  /** Plays the next step; the sender's register is set. */
  play(sender: Sender, sounding: Sounding): void {
    const beat = this.#step >> 1;
    const first = beat % this.#beats === 0;
    const key = first ? FIRST_BEAT_KEY : BEAT_KEY;
    if ((this.#step & 1) === 0) {
      sender.message(0x90 | this.#channel, key, first ? FIRST_BEAT_VELOCITY : BEAT_VELOCITY);
      sounding.strikeKey(this.#channel, key);
    } else if (sounding.strikes[this.#channel * 128 + key]! > 0) {
      sender.message(0x80 | this.#channel, key, 64);
      sounding.releaseKey(this.#channel, key);
    }
    this.#step += 1;
    const beatMicros = this.#times[BEAT]!;
    const within = (this.#step & 1) === 0 ? 0 : Math.min(beatMicros / 2, CLICK_MICROS);
    this.#times[NEXT] = this.#step < this.#steps ? (this.#step >> 1) * beatMicros + within : Infinity;
  }
}
