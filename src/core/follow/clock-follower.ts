import { PULSES_PER_QUARTER } from '../timeline/clock-pulses.ts';
import { Follow, type LostClock } from './follow-state.ts';
import { nearestPulse, songAtPulse } from './pulse-places.ts';
import { PulseTracker } from './pulse-tracker.ts';

/** What a clock that is followed asks of the transport. */
export interface FollowSink {
  pause(): void;
  play(): void;
  seek(songMicros: number): void;
  /** @param line [0] song time (µs) at run time 0, [1] song µs a run µs; 0: stand still until the next line */
  follow(line: Float64Array): void;
}

export interface FollowOptions {
  /** Song time of each pulse (`clockMicrosOf`). */
  readonly pulseMicros: Float64Array;
  readonly onLost: LostClock;
  /** Song time at which Start begins; 0. Taken to the nearest pulse. */
  readonly startMicros?: number;
}

/** Clocks in one MIDI beat, the unit of Song Position Pointer (MIDI 1.0, p. 27). */
const PULSES_PER_MIDI_BEAT = 6;
/** At 10 quarters a minute pulses are 250 ms apart: slower than that is a clock that stopped. */
export const LOST_MICROS = 300_000;
/** Two pulses closer than this are what waited while our own reader was held up. */
const LEAST_INTERVAL = 1000;
/** Who looks so much later than the clock was lost was held up. */
const HELD_UP_MICROS = 5000;

/**
 * Follows another machine's MIDI Timing Clock, Start, Continue, Stop and Song Position Pointer (MIDI 1.0, p. 27–30),
 * and tells the transport what to do. It never plays a pulse as it comes: each sets a line from run time to song
 * time, which the scheduler plays along, so the sender's jitter and our own lateness in reading it are not heard.
 * Pulses that come while stopped teach the tempo before the song begins. System Reset stops and goes back to the
 * beginning (p. 33). Active Sensing says nothing that a clock's own silence does not say sooner.
 *
 * A person may leave (`leave`): pulses are counted on, and `join` goes in again where the clock has come to.
 */
export class ClockFollower {
  /** One of `Follow`. */
  state: number = Follow.waits;
  /** A person has paused the music; the clock goes on without it. */
  isOut = false;
  /** Pulses that came, and times the clock was lost while it should have come. */
  clocks = 0;
  losses = 0;
  readonly tracker = new PulseTracker();
  /** Run time (µs) at which the clock will count as lost; Infinity while it need not come. */
  readonly lostAt = Float64Array.of(Number.POSITIVE_INFINITY);

  readonly #pulseMicros: Float64Array;
  readonly #onLost: LostClock;
  readonly #startPulse: number;
  readonly #sink: FollowSink;
  /** The line that was handed out last: see `FollowSink.follow`. */
  readonly #line = new Float64Array(2);
  readonly #standStill = new Float64Array(2);
  readonly #lastAt = Float64Array.of(Number.NEGATIVE_INFINITY);
  /** Number, in the song, of the pulse that came last. */
  #pulse: number;
  /** The clock was lost because nobody here looked: it may have gone on, and what waited of it counts. */
  #wasHeldUp = false;
  /** Pulses since it was lost that are believed to be such. */
  #returned = 0;

  constructor({ pulseMicros, onLost, startMicros = 0 }: FollowOptions, sink: FollowSink) {
    this.#pulseMicros = pulseMicros;
    this.#onLost = onLost;
    this.#startPulse = nearestPulse(pulseMicros, startMicros);
    this.#pulse = this.#startPulse - 1;
    this.#sink = sink;
  }

  /** Quarter notes a minute; 0 while not known. */
  get tempo(): number {
    const period = this.tracker.periodMicros;
    return period > 0 ? 60_000_000 / (PULSES_PER_QUARTER * period) : 0;
  }

  /** A real-time or system common message came at the run time (µs) `at[0]`. Others are of no interest. */
  message(status: number, data1: number, data2: number, at: Float64Array): void {
    if (status === 0xf8) this.#clock(at);
    else if (status === 0xfa) this.#start();
    else if (status === 0xfb) this.#continue();
    else if (status === 0xfc) this.#stop();
    else if (status === 0xf2) this.#locate(data1 | (data2 << 7));
    else if (status === 0xff) {
      this.#stop();
      this.#locate(0);
    }
  }

  /** To be asked when `lostAt` has come: whether the clock has fallen silent. */
  look(at: Float64Array): void {
    if (this.state !== Follow.follows || at[0]! < this.lostAt[0]!) return;
    this.#lose(at);
  }

  /** What came could not be kept up with: as after Stop, nothing sounds until Start or Continue. */
  break(): void {
    this.#stop();
    this.tracker.forget();
  }

  /** The music stands; the clock is counted on. */
  leave(): void {
    if (this.isOut) return;
    this.isOut = true;
    this.#sink.pause();
  }

  /** The music goes in again, where the clock is at run time `at[0]`. Also right when it was never out. */
  join(at: Float64Array): void {
    this.isOut = false;
    if (this.state === Follow.armed) this.#ready(songAtPulse(this.#pulseMicros, this.#pulse + 1));
    else if (this.state === Follow.follows || (this.state === Follow.lost && this.#onLost === 'continue')) {
      this.#ready(Math.max(0, this.#line[0]! + this.#line[1]! * at[0]!));
      this.#sink.follow(this.#line);
    } else this.#sink.seek(songAtPulse(this.#pulseMicros, this.#pulse + 1));
  }

  #start(): void {
    if (this.state === Follow.armed && this.#pulse === this.#startPulse - 1) return;
    this.#pulse = this.#startPulse - 1;
    this.#arm();
    if (!this.isOut) this.#ready(songAtPulse(this.#pulseMicros, this.#startPulse));
  }

  /** While the music goes on anyway it says nothing. */
  #continue(): void {
    if (this.state === Follow.armed || this.state === Follow.follows) return;
    const wasHeld = this.state === Follow.lost && this.#onLost === 'continue';
    this.#arm();
    if (this.isOut) return;
    if (wasHeld) this.#sink.pause();
    this.#sink.follow(this.#standStill);
    if (wasHeld) this.#sink.seek(songAtPulse(this.#pulseMicros, this.#pulse + 1));
    this.#sink.play();
  }

  #stop(): void {
    this.state = Follow.waits;
    this.lostAt[0] = Number.POSITIVE_INFINITY;
    if (!this.isOut) this.#sink.pause();
  }

  /** Play begins at the next clock, not at the Start (p. 30). */
  #arm(): void {
    this.state = Follow.armed;
    this.lostAt[0] = Number.POSITIVE_INFINITY;
  }

  /** Stands at a place, chase and all done, until the next line. */
  #ready(songMicros: number): void {
    this.#sink.pause();
    this.#sink.follow(this.#standStill);
    this.#sink.seek(songMicros);
    this.#sink.play();
  }

  /** A pointer may only come while stopped (p. 29); one that comes while playing is a jump all the same. */
  #locate(midiBeat: number): void {
    this.#pulse = midiBeat * PULSES_PER_MIDI_BEAT - 1;
    const plays = this.state === Follow.follows || this.state === Follow.lost;
    if (plays) this.#arm();
    if (this.isOut) return;
    if (plays) this.#sink.follow(this.#standStill);
    this.#sink.seek(songAtPulse(this.#pulseMicros, this.#pulse + 1));
    if (plays) this.#sink.play();
  }

  #lose(at: Float64Array): void {
    this.#wasHeldUp = at[0]! > this.lostAt[0]! + HELD_UP_MICROS;
    this.#returned = 0;
    this.state = Follow.lost;
    this.losses += 1;
    this.lostAt[0] = Number.POSITIVE_INFINITY;
    this.tracker.forget();
    if (this.#onLost === 'pause' && !this.isOut) this.#sink.pause();
  }

  #clock(at: Float64Array): void {
    this.clocks += 1;
    const silence = at[0]! - this.#lastAt[0]!;
    // Nobody has looked meanwhile.
    if (this.state === Follow.follows && silence >= LOST_MICROS) this.#lose(at);
    if (this.state === Follow.lost) this.#return(at, silence);
    else {
      if (silence >= LOST_MICROS) this.tracker.forget();
      if (this.state === Follow.armed) {
        this.tracker.start(at);
        this.#pulse += 1;
        this.#goOn(at);
      } else {
        const steps = this.tracker.pulse(at);
        if (this.state === Follow.follows) {
          this.#pulse = Math.max(0, this.#pulse + steps);
          this.#goOn(at);
        }
      }
    }
    this.#lastAt[0] = at[0]!;
  }

  /** A clock is back when two pulses have come as pulses do: one alone may be anything. */
  #return(at: Float64Array, silence: number): void {
    const period = this.tracker.periodMicros;
    if (silence >= LOST_MICROS || silence < Math.max(LEAST_INTERVAL, period / 4)) {
      this.#returned = this.#wasHeldUp ? this.#returned + 1 : 1;
      this.tracker.forget();
      this.tracker.pulse(at);
      return;
    }
    this.tracker.pulse(at);
    if (this.#onLost === 'continue') {
      // The music went on meanwhile, and so, one hopes, did the other machine: the pulse nearest to where we are.
      this.#pulse = nearestPulse(this.#pulseMicros, this.#line[0]! + this.#line[1]! * at[0]!);
    } else {
      // Both stood, as far as one knows here: the first of these pulses goes on from there.
      this.#pulse += this.#returned + 1;
      if (!this.isOut && !this.#wasHeldUp) this.#ready(songAtPulse(this.#pulseMicros, this.#pulse - 1));
      else if (!this.isOut) {
        // The song went on as well, until it was seen: what it struck then is not struck again.
        this.#sink.follow(this.#standStill);
        this.#sink.play();
      }
    }
    this.#goOn(at);
  }

  /** Song time as a line through this pulse and the next. */
  #goOn(at: Float64Array): void {
    this.state = Follow.follows;
    this.lostAt[0] = at[0]! + LOST_MICROS;
    const from = songAtPulse(this.#pulseMicros, this.#pulse);
    const { line } = this.tracker;
    const period = line[1]!;
    // The very first pulse of all has no tempo yet: the song's own, until the second comes.
    const scale = period > 0 ? (songAtPulse(this.#pulseMicros, this.#pulse + 1) - from) / period : 1;
    this.#line[0] = from - scale * (period > 0 ? line[0]! : at[0]!);
    this.#line[1] = scale;
    if (!this.isOut) this.#sink.follow(this.#line);
  }
}
