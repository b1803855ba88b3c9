/**
 * The tempo and the moments of a clock that comes with jitter: a phase-locked loop of second order in discrete time,
 * known as a g-h (alpha-beta) filter. Its gains begin as those of a straight line through all pulses so far
 * ("expanding memory": g = 2(2n−1)/(n(n+1)), h = 6/(n(n+1)); E. Brookner, Tracking and Kalman Filtering Made Easy,
 * 1998, from memory), so it has a tempo after two pulses and a good one after a beat; they stop shrinking at
 * `MEMORY`, so that a tempo may change. When pulses keep coming late, or early, it forgets the older ones at once:
 * that is a change of tempo and no jitter.
 */
export class PulseTracker {
  /** [0] moment of the last pulse as the line has it, [1] microseconds from pulse to pulse; 0 while not known. */
  readonly line = new Float64Array(2);
  #samples = 0;
  #last = 0;
  /** Lately, in microseconds: by how much pulses miss their moments, with their sign and without. */
  #lean = 0;
  #spread = FIRST_SPREAD;
  /** Pulses put in for such as seemed lost, which the next one may take back. */
  #doubtful = 0;
  #early = 0;

  /** Microseconds between two pulses; 0 while not known. */
  get periodMicros(): number {
    return this.line[1]!;
  }

  get isLocked(): boolean {
    return this.#samples >= LOCKED;
  }

  /** A break: what comes next begins anew, but for the tempo. */
  forget(): void {
    this.#samples = 0;
    this.#doubtful = 0;
    this.#early = 0;
    this.#lean = 0;
  }

  /**
   * A pulse came.
   * @returns by how many pulses the clock went on: 1; more where some were lost on the way; 1 less the number it
   * had taken for lost where the clock turns out to have become slow
   */
  pulse(micros: number): number {
    const interval = micros - this.#last;
    this.#last = micros;
    if (this.#samples === 0) return this.#begin(micros);
    if (this.#samples === 1) {
      this.#restart(micros, interval);
      return 1;
    }
    const period = this.line[1]!;
    const miss = micros - (this.line[0]! + period);
    if (miss > 0.5 * period) return this.#gap(micros, interval, miss);
    this.#doubtful = 0;
    if (miss < -0.35 * period) {
      this.#early += 1;
      // Twice in a row much too early: the clock has become fast.
      if (this.#early > 1 && interval < 0.8 * period) {
        this.#restart(micros, interval);
        return 1;
      }
    } else {
      this.#early = 0;
    }
    this.#step(period, miss);
    return 1;
  }

  #begin(micros: number): number {
    this.line[0] = micros;
    this.#samples = 1;
    return 1;
  }

  /** A line through the last two pulses. */
  #restart(micros: number, interval: number): void {
    this.line[0] = micros;
    this.line[1] = Math.max(LEAST_PERIOD, interval);
    this.#samples = 2;
    this.#lean = 0;
    this.#early = 0;
  }

  #step(period: number, miss: number): void {
    this.#samples = Math.min(this.#samples + 1, MEMORY);
    this.#lean += LEAN_GAIN * (miss - this.#lean);
    if (Math.abs(this.#lean) > LEAN_LIMIT * this.#spread && this.#samples > SHORT_MEMORY) {
      this.#samples = SHORT_MEMORY;
      this.#lean = 0;
    }
    this.#spread += SPREAD_GAIN * (Math.max(Math.abs(miss), LEAST_SPREAD) - this.#spread);
    const n = this.#samples;
    this.line[0] = this.line[0]! + period + ((2 * (2 * n - 1)) / (n * (n + 1))) * miss;
    this.line[1] = Math.max(LEAST_PERIOD, period + (6 / (n * (n + 1))) * miss);
  }

  /** Later than half a period: pulses were lost, or the clock has become slow. The next pulse tells which. */
  #gap(micros: number, interval: number, miss: number): number {
    const period = this.line[1]!;
    if (this.#doubtful > 0 && interval > 1.5 * period) {
      const taken = this.#doubtful;
      this.#doubtful = 0;
      this.#restart(micros, interval);
      return 1 - taken;
    }
    const lost = Math.round(miss / period);
    this.#doubtful = lost;
    this.line[0] = this.line[0]! + lost * period;
    this.#step(period, miss - lost * period);
    return 1 + lost;
  }
}

/** 2,500 quarters a minute: nobody plays that, but a broken line sends it. */
const LEAST_PERIOD = 1000;
/** Pulses that the line remembers: five beats. Jitter of 1 ms (standard deviation) then leaves 0.2 ms. */
const MEMORY = 120;
/** What is left of it when the tempo changes. */
const SHORT_MEMORY = 6;
/** From here on the line is worth following: half a beat. */
const LOCKED = 12;
const LEAN_GAIN = 0.25;
const SPREAD_GAIN = 0.03;
/** Mean miss, in mean absolute misses, that jitter alone hardly ever reaches. */
const LEAN_LIMIT = 1.6;
const FIRST_SPREAD = 600;
const LEAST_SPREAD = 60;
