/**
 * When the next frame may be drawn, from what the last ones met. A pure reckoning: all times are milliseconds on
 * one steady clock, handed in.
 *
 * Two things tell how the link does. A write that takes long (the terminal does not read) and, since a network
 * on the way swallows many kilobytes before it holds a writer up, the terminal's answer to a question sent behind
 * a frame (DSR 5, "ready", ECMA-48 8.3.35): it comes when the frame has been shown. One question is open at
 * a time. What an answer took beyond the quickest is time spent in queues; above `QUEUE_MILLIS` frames come more
 * rarely, below it step by step more often again.
 */
export class FramePace {
  /** Between two frames of live cells. */
  intervalMillis: number = LIVE_MILLIS;
  private lastFrame = Number.NEGATIVE_INFINITY;
  private writeStarted: number | undefined;
  private asked: number | undefined;
  private lastAsked = Number.NEGATIVE_INFINITY;
  /** What the latest answers took: a ring. */
  private readonly took = new Float64Array(KEPT_ANSWERS).fill(Number.POSITIVE_INFINITY);
  private answers = 0;
  private mute = false;
  /** An answer was given up: until one comes, only now and then a frame with a question. */
  private isStalled = false;

  /** Earliest time for a frame; infinite while a write or an answer has to end first. */
  earliest(isUrgent: boolean): number {
    if (this.writeStarted !== undefined) return Number.POSITIVE_INFINITY;
    const due =
      this.lastFrame + (isUrgent ? Math.min(URGENT_MILLIS, this.intervalMillis) : this.intervalMillis);
    if (this.asked === undefined) return due;
    const giveUp = this.asked + (this.answers > 0 ? STALL_MILLIS : FIRST_ANSWER_MILLIS);
    const late = this.asked + this.lateMillis();
    // A frame may follow while the answer is not late yet; after that only when it has come or was given up.
    return due <= late ? due : Math.max(due, giveUp);
  }

  /** True when a question should go with the frame that is about to be written. */
  shouldAsk(now: number): boolean {
    if (this.asked !== undefined) return now >= this.asked + STALL_MILLIS;
    return !this.mute && now >= this.lastAsked + ASK_MILLIS;
  }

  /** True while an answer may still come. */
  get isAsking(): boolean {
    return this.asked !== undefined;
  }

  writing(now: number, isAsking: boolean): void {
    this.writeStarted = now;
    if (!isAsking) return;
    this.isStalled = this.asked !== undefined;
    if (this.asked !== undefined && this.answers === 0) this.mute = true;
    this.asked = this.mute ? undefined : now;
    this.lastAsked = now;
  }

  /** A frame was drawn, whether or not it turned out to be different. */
  drawn(now: number): void {
    this.lastFrame = now;
  }

  written(now: number): void {
    if (this.writeStarted === undefined) return;
    const took = now - this.writeStarted;
    this.writeStarted = undefined;
    if (took > QUEUE_MILLIS) this.adapt(took);
    else if (this.mute) this.adapt(0);
  }

  answered(now: number): void {
    this.mute = false;
    this.isStalled = false;
    if (this.asked === undefined) return;
    const took = now - this.asked;
    this.asked = undefined;
    this.took[this.answers++ % KEPT_ANSWERS] = took;
    this.adapt(took - Math.min(...this.took));
  }

  private adapt(queuedMillis: number): void {
    const { intervalMillis } = this;
    this.intervalMillis =
      queuedMillis > QUEUE_MILLIS
        ? Math.min(LONGEST_MILLIS, intervalMillis * (1 + Math.min(1, queuedMillis / LONGEST_MILLIS)))
        : Math.max(LIVE_MILLIS, intervalMillis * RECOVERY);
  }

  private lateMillis(): number {
    if (this.isStalled) return 0;
    return LATE_MILLIS + (this.answers === 0 ? 0 : Math.min(LONGEST_MILLIS, 2 * Math.min(...this.took)));
  }
}

/** Twelve frames a second: hands are followed by eye, and a slow link is left half idle. */
const LIVE_MILLIS = 1000 / 12;
/** After a key press; fifteen a second at most. */
const URGENT_MILLIS = 1000 / 15;
const LONGEST_MILLIS = 1500;
const RECOVERY = 0.85;
/** Queueing that nobody notices. */
const QUEUE_MILLIS = 80;
const ASK_MILLIS = 250;
const LATE_MILLIS = 150;
/** How long a terminal that never answered is taken to be one that may. */
const FIRST_ANSWER_MILLIS = 600;
/** An answer that was lost must not stop the screen for ever. */
const STALL_MILLIS = 4000;
/** The quickest of so many is the way there and back without queues; a longer route is learnt as they pass. */
const KEPT_ANSWERS = 16;
