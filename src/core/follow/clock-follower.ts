import type { Command } from '../schedule/command.ts';
import { PULSES_PER_QUARTER } from '../timeline/clock-pulses.ts';
import { PulseTracker } from './pulse-tracker.ts';

/** What happens when the clock followed falls silent. */
export type LostClock = 'hold' | 'stop';

export interface FollowState {
  /** `waiting`: no Start or Continue yet; `armed`: told to play, at the next pulse; `lost`: no pulse for too long. */
  readonly state: 'waiting' | 'armed' | 'following' | 'lost';
  /** Quarter notes a minute; 0 while not known. */
  readonly tempo: number;
}

/** Clocks in one MIDI beat, the unit of Song Position Pointer (MIDI 1.0, p. 27). */
const PULSES_PER_MIDI_BEAT = 6;
/** At 10 quarters a minute pulses are 250 ms apart: slower than that is a clock that stopped. */
const LOST_MICROS = 300_000;

const STAND_STILL: Command = { kind: 'follow', songAtZero: 0, scale: 0 };

/**
 * Follows another machine's MIDI Timing Clock, Start, Continue, Stop and Song Position Pointer (MIDI 1.0, p. 27–30),
 * and says what the transport is to do. It never plays a pulse as it comes: each sets a line from run time to song
 * time, which the scheduler plays along, so the sender's jitter and our own lateness in reading it are not heard.
 * Pulses that come while stopped teach the tempo before the song begins.
 */
export class ClockFollower {
  readonly #pulseMicros: Float64Array;
  readonly #onLost: LostClock;
  readonly #tracker = new PulseTracker();
  #state: FollowState['state'] = 'waiting';
  /** Number, in the song, of the pulse that came last. */
  #pulse = -1;
  #lastPulseAt = Number.NEGATIVE_INFINITY;

  /** @param pulseMicros song time of each pulse (`clockMicrosOf`) */
  constructor(pulseMicros: Float64Array, onLost: LostClock) {
    this.#pulseMicros = pulseMicros;
    this.#onLost = onLost;
  }

  get seen(): FollowState {
    const period = this.#tracker.periodMicros;
    return { state: this.#state, tempo: period > 0 ? 60_000_000 / (PULSES_PER_QUARTER * period) : 0 };
  }

  /**
   * A real-time or system common message came at a run time.
   * @returns commands for the player, in order
   */
  message(status: number, data1: number, data2: number, micros: number): readonly Command[] {
    switch (status) {
      case 0xf8:
        return this.#clock(micros);
      case 0xfa:
        this.#pulse = -1;
        return this.#arm([{ kind: 'seek', micros: 0 }]);
      case 0xfb:
        return this.#arm([]);
      case 0xfc:
        this.#state = 'waiting';
        return [{ kind: 'pause' }];
      case 0xf2:
        return this.#locate(data1 | (data2 << 7));
      default:
        return [];
    }
  }

  /** To be asked now and then: whether the clock has fallen silent. */
  look(micros: number): readonly Command[] {
    if (this.#state !== 'following' || micros - this.#lastPulseAt < LOST_MICROS) return [];
    this.#state = 'lost';
    this.#tracker.forget();
    return this.#onLost === 'stop' ? [{ kind: 'pause' }] : [];
  }

  /** The song is made ready and waits for the next pulse: play begins at the clock, not at the Start (p. 30). */
  #arm(first: readonly Command[]): readonly Command[] {
    this.#state = 'armed';
    return [{ kind: 'pause' }, STAND_STILL, ...first, { kind: 'play' }];
  }

  /** A pointer may only come while stopped (p. 29); one that comes while playing is a jump all the same. */
  #locate(midiBeat: number): readonly Command[] {
    this.#pulse = midiBeat * PULSES_PER_MIDI_BEAT - 1;
    const seek: Command = { kind: 'seek', micros: this.#songAt(this.#pulse + 1) };
    return this.#state === 'following' ? [STAND_STILL, seek] : [seek];
  }

  #clock(micros: number): readonly Command[] {
    const silence = micros - this.#lastPulseAt;
    if (silence >= LOST_MICROS) this.#tracker.forget();
    this.#lastPulseAt = micros;
    const steps = this.#tracker.pulse(micros);
    if (this.#state === 'waiting') return [];
    const resumes = this.#state === 'lost' && this.#onLost === 'stop';
    this.#pulse += this.#state === 'armed' ? 1 : steps;
    this.#state = 'following';
    const line = this.#line(micros);
    if (!resumes) return [line];
    // While the silence was being noticed the music had gone on a little: back to the pulse that comes.
    return [STAND_STILL, { kind: 'seek', micros: this.#songAt(this.#pulse) }, { kind: 'play' }, line];
  }

  /** Song time as a line through this pulse and the next. */
  #line(micros: number): Command {
    const { line, periodMicros } = this.#tracker;
    const from = this.#songAt(this.#pulse);
    const songPeriod = this.#songAt(this.#pulse + 1) - from;
    // The very first pulse of all has no tempo yet: the song's own, until the second comes.
    const scale = periodMicros > 0 ? songPeriod / periodMicros : 1;
    const at = periodMicros > 0 ? line[0]! : micros;
    return { kind: 'follow', songAtZero: from - scale * at, scale };
  }

  #songAt(pulse: number): number {
    const table = this.#pulseMicros;
    const last = table.length - 1;
    if (pulse <= last) return table[Math.max(0, pulse)]!;
    const step = last > 0 ? table[last]! - table[last - 1]! : 500_000 / PULSES_PER_QUARTER;
    return (table[last] ?? 0) + (pulse - last) * step;
  }
}
