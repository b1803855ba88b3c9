/**
 * The tempo and the moments of a clock that comes with jitter: a phase-locked loop of second order in discrete time,
 * known as a g-h (alpha-beta) filter. Its gains begin as those of a straight line through all pulses so far
 * ("expanding memory": g = 2(2n−1)/(n(n+1)), h = 6/(n(n+1)); E. Brookner, Tracking and Kalman Filtering Made Easy,
 * 1998, from memory), so it has a tempo after two pulses and a good one after a beat; they stop shrinking at
 * `MEMORY`, so that a tempo may change. When pulses keep coming late, or early, it forgets the older ones at once:
 * that is a change of tempo and no jitter. A pulse far off the others (a reader held up) moves the line no further than
 * usual jitter does. Every number is in a register, since the sending loop calls this.
 */
export class PulseTracker {
  /** [0] moment of the last pulse as the line has it, [1] microseconds from pulse to pulse; 0 while not known. */
  readonly line = new Float64Array(2);
  /** By `LAST`, `LEAN`, `SPREAD`, `INTERVAL`. */
  readonly #numbers = Float64Array.of(0, 0, FIRST_SPREAD, 0);
  #samples = 0;
  /** Pulses put in for such as seemed lost, which the next ones may take back. */
  #doubtful = 0;
  /** Some of them have come. */
  #wereHeld = false;
  /** Pulses in a row that came when they were due. */
  #punctual = 0;
  #early = 0;

  /** Microseconds between two pulses; 0 while not known. */
  get periodMicros(): number {
    return this.line[1]!;
  }

  /** Mean absolute miss of late, in microseconds: how much jitter the clock comes with. */
  get spreadMicros(): number {
    return this.#numbers[SPREAD]!;
  }

  get isLocked(): boolean {
    return this.#samples >= LOCKED;
  }

  /** A break: what comes next begins anew, but for the tempo. */
  forget(): void {
    this.#samples = 0;
    this.#doubtful = 0;
    this.#wereHeld = false;
    this.#early = 0;
    this.#numbers[LEAN] = 0;
  }

  /**
   * A pulse came, at the run time (µs) `at[0]`.
   * @returns by how many pulses the clock went on: 1; more where some were lost on the way; 0 for one that was taken
   * for lost and only comes late; 1 less the number taken for lost where the clock turns out to have become slow
   */
  pulse(at: Float64Array): number {
    const n = this.#numbers;
    const interval = at[0]! - n[LAST]!;
    const isEven = Math.abs(interval - n[INTERVAL]!) < 0.25 * interval;
    n[LAST] = at[0]!;
    n[INTERVAL] = interval;
    const period = this.line[1]!;
    // The reader was held up before there was a line to hold on to. The latest of those that waited is not long past; the
    // first that did not wait begins the line.
    if (this.#samples <= LOCKED && this.#doubtful === 0 && interval < LEAST_PERIOD) {
      this.forget();
      this.line[0] = at[0]!;
      return 1;
    }
    if (this.#samples === 0) {
      this.line[0] = at[0]!;
      this.#samples = 1;
      return 1;
    }
    if (this.#samples === 1) {
      // After a break: the tempo that was, unless it plainly is another.
      if (period > 0 && Math.abs(interval - period) < 0.35 * period) {
        this.#samples = SHORT_MEMORY;
        this.#step(at[0]! - (this.line[0]! + period));
      } else this.#restart(at[0]!, interval);
      return 1;
    }
    if (this.#doubtful > 0 && isEven && interval > SLOWER * period) {
      const taken = this.#doubtful;
      this.#doubtful = 0;
      this.#restart(at[0]!, interval);
      return 1 - taken;
    }
    const miss = at[0]! - (this.line[0]! + period);
    if (miss > 0.5 * period) {
      if (interval > 1.5 * period) return this.#gap(miss);
      // Late, but not by a jump: the clock has become slow.
      this.#restart(at[0]!, interval);
      return 1;
    }
    // One that waited comes before half of the next period is over; the next one comes when it is due.
    if (this.#doubtful > 0 && miss < -0.25 * period) {
      this.#doubtful -= 1;
      this.#wereHeld = true;
      this.#punctual = 0;
      return 0;
    }
    // Once is chance: whoever holds pulses up may do so twice in a row.
    this.#punctual += 1;
    const surplus = this.#punctual > 1 && this.#wereHeld ? this.#doubtful : 0;
    if (this.#punctual > 1) {
      this.#doubtful = 0;
      this.#wereHeld = false;
    }
    if (miss < -0.35 * period) {
      this.#early += 1;
      // Twice in a row much too early: the clock has become fast.
      if (this.#early > 1 && interval < 0.8 * period && interval > BURST * period) {
        this.#restart(at[0]!, interval);
        return 1;
      }
    } else {
      this.#early = 0;
    }
    this.#step(miss);
    // Where some were only held up, none was lost: what is left was counted by a tempo not known well yet.
    return 1 - surplus;
  }

  /**
   * The first pulse after Start or Continue. Many machines begin their clock anew with it: where it does not come when
   * one was due, the line goes through it, at the tempo that was.
   */
  start(at: Float64Array): void {
    const n = this.#numbers;
    const period = this.line[1]!;
    const miss = at[0]! - this.line[0]!;
    const off = Math.abs(miss - Math.round(miss / period) * period);
    // What seemed lost before it was no part of the song.
    this.#doubtful = 0;
    if (this.#samples < 2 || off <= FAR * n[SPREAD]!) {
      this.pulse(at);
      return;
    }
    this.forget();
    this.line[0] = at[0]!;
    n[LAST] = at[0]!;
    this.#samples = SHORT_MEMORY;
  }

  /** A line through the last two pulses. */
  #restart(micros: number, interval: number): void {
    this.line[0] = micros;
    this.line[1] = Math.max(LEAST_PERIOD, interval);
    this.#samples = 2;
    this.#numbers[LEAN] = 0;
    this.#early = 0;
  }

  #step(miss: number): void {
    const n = this.#numbers;
    const spread = n[SPREAD]!;
    const usual = Math.max(-FAR * spread, Math.min(FAR * spread, miss));
    n[LEAN] = n[LEAN]! + LEAN_GAIN * (usual - n[LEAN]!);
    this.#samples = Math.min(this.#samples + 1, MEMORY);
    if (Math.abs(n[LEAN]!) > LEAN_LIMIT * spread && this.#samples > SHORT_MEMORY) {
      this.#samples = SHORT_MEMORY;
      n[LEAN] = 0;
    }
    n[SPREAD] = spread + SPREAD_GAIN * (Math.max(Math.abs(usual), LEAST_SPREAD) - spread);
    const samples = this.#samples;
    const moves = samples > LOCKED ? usual : miss;
    const period = this.line[1]!;
    this.line[0] = this.line[0]! + period + ((2 * (2 * samples - 1)) / (samples * (samples + 1))) * moves;
    this.line[1] = Math.max(LEAST_PERIOD, period + (6 / (samples * (samples + 1))) * moves);
  }

  /** Later than half a period: pulses were lost, or come late, or the clock has become slow. The next one tells which. */
  #gap(miss: number): number {
    const period = this.line[1]!;
    const lost = Math.round(miss / period);
    this.#doubtful += lost;
    this.#punctual = 0;
    // A pulse that comes at an odd moment says nothing of tempo or phase.
    this.line[0] = this.line[0]! + (1 + lost) * period;
    return 1 + lost;
  }
}

const LAST = 0;
/** Lately, in microseconds: by how much pulses miss their moments, with their sign and without. */
const LEAN = 1;
const SPREAD = 2;
/** Microseconds between the last two pulses. */
const INTERVAL = 3;
/** 2,500 quarters a minute: nobody plays that, but a broken line sends it. */
const LEAST_PERIOD = 1000;
/** Pulses that the line remembers: five beats. Jitter of 1 ms (standard deviation) then leaves 0.2 ms. */
const MEMORY = 120;
/** What is left of it when the tempo changes. */
const SHORT_MEMORY = 6;
/** From here on the line is worth following, and one pulse cannot be right against all others: half a beat. */
const LOCKED = 12;
const LEAN_GAIN = 0.25;
const SPREAD_GAIN = 0.03;
/** Mean miss, in mean absolute misses, that jitter alone hardly ever reaches. */
const LEAN_LIMIT = 1.6;
/** An interval so many periods long, after one that was longer still, is no lost pulse: the clock has become slow. */
const SLOWER = 1.35;
/** Pulses closer than this share of a period have waited somewhere, and say nothing of the tempo. */
const BURST = 0.15;
/** Beyond so many mean absolute misses a pulse is no jitter: 1 in 60 of a normal one (2.4 standard deviations). */
const FAR = 3;
const FIRST_SPREAD = 600;
const LEAST_SPREAD = 60;
