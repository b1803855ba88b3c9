import { LineRate } from './line-rate.ts';

/**
 * When the next frame may be drawn, from what the last ones met. A pure reckoning: all times are milliseconds on
 * one steady clock, handed in.
 *
 * Two things tell how the link does. A write that takes long (the terminal does not read) makes frames rarer.
 * But a network on the way swallows many kilobytes before it holds a writer up; so questions are sent behind
 * frames (DSR 5, ECMA-48 8.3.35), and the terminal's answer tells that everything before it was shown. Bytes not
 * answered yet are kept below a window, which grows while answers come as quickly as the quickest and shrinks
 * when they waited in queues. A frame may always go when nothing is unanswered. Where no answer ever came the line's
 * rate takes their place: no more is sent than it carries soon.
 */
export class FramePace {
  /** Between two frames of live cells. */
  intervalMillis: number = LIVE_MILLIS;
  #lastFrame = Number.NEGATIVE_INFINITY;
  #lastUrgent = Number.NEGATIVE_INFINITY;
  #writeStarted: number | undefined;
  #sentBytes = 0;
  #shownBytes = 0;
  #windowBytes = SMALLEST_WINDOW;
  #questions: Question[] = [];
  #lastAsked = Number.NEGATIVE_INFINITY;
  /** What the latest answers took that had hardly anything before them: a ring. */
  readonly #took = new Float64Array(KEPT_ANSWERS).fill(Number.POSITIVE_INFINITY);
  #answers = 0;
  readonly #line = new LineRate();
  #lightAnswers = 0;
  #isMute = false;
  /** An answer was given up: until one comes, only now and then a frame with a question. */
  #isStalled = false;

  /** What the line to the terminal carries is known. */
  lineCarries(bytesPerSecond: number): void {
    this.#line.known(bytesPerSecond);
  }

  /** Earliest time for a frame; infinite while a write has to end first. Asked again after every answer. */
  earliest(isUrgent: boolean): number {
    if (this.#writeStarted !== undefined) return Number.POSITIVE_INFINITY;
    const byAnswers = this.#byAnswers(isUrgent);
    if (this.isAnswered) return byAnswers;
    return Math.max(byAnswers, this.#line.freeAt(isUrgent ? URGENT_AHEAD_MILLIS : LIVE_AHEAD_MILLIS));
  }

  #byAnswers(isUrgent: boolean): number {
    // A key is answered at once, whenever the last live frame was; the next live one comes later for it.
    const due = isUrgent ? this.#lastUrgent + URGENT_MILLIS : this.#lastFrame + this.intervalMillis;
    const [first] = this.#questions;
    if (first === undefined) return due;
    const mayFollow =
      this.#sentBytes - this.#shownBytes <= this.#windowBytes && due <= first.at + this.#lateMillis();
    if (mayFollow) return due;
    return Math.max(due, first.at + (this.#answers > 0 ? STALL_MILLIS : FIRST_ANSWER_MILLIS));
  }

  /** True when a question should go with the so many bytes that are about to be written. */
  shouldAsk(now: number, bytes: number): boolean {
    if (this.#isMute) return false;
    const [first] = this.#questions;
    if (first !== undefined && now >= first.at + STALL_MILLIS) return true;
    return bytes > LIGHT_BYTES || (first === undefined && now >= this.#lastAsked + ASK_MILLIS);
  }

  /** The terminal has answered a question: then its line's rate says nothing more. */
  get isAnswered(): boolean {
    return this.#answers > 0;
  }

  /** True while an answer may still come. */
  get isAsking(): boolean {
    return this.#questions.length > 0;
  }

  writing(now: number, bytes: number, isAsking: boolean): void {
    this.#writeStarted = now;
    this.#line.writing(now, bytes);
    this.#sentBytes += bytes;
    const [first] = this.#questions;
    if (first !== undefined && now >= first.at + STALL_MILLIS) {
      this.#questions = [];
      this.#isStalled = true;
      this.#isMute = this.#answers === 0;
    }
    if (!isAsking || this.#isMute) return;
    const isLight = this.#sentBytes - this.#shownBytes <= LIGHT_BYTES;
    this.#questions.push({ at: now, upTo: this.#sentBytes, isLight });
    this.#lastAsked = now;
  }

  /** A frame was drawn, whether or not it turned out to be different. */
  drawn(now: number, isUrgent: boolean): void {
    this.#lastFrame = now;
    if (isUrgent) this.#lastUrgent = now;
  }

  written(now: number): void {
    if (this.#writeStarted === undefined) return;
    const took = now - this.#writeStarted;
    this.#writeStarted = undefined;
    this.intervalMillis =
      took > QUEUE_MILLIS
        ? Math.min(LONGEST_MILLIS, this.intervalMillis * 2)
        : Math.max(LIVE_MILLIS, this.intervalMillis * RECOVERY);
  }

  answered(now: number): void {
    this.#isMute = false;
    this.#isStalled = false;
    const question = this.#questions.shift();
    if (question === undefined) return;
    this.#shownBytes = question.upTo;
    this.#answers += 1;
    const took = now - question.at;
    if (question.isLight) this.#took[this.#lightAnswers++ % KEPT_ANSWERS] = took;
    const hasQueued = took - this.#quickest() > QUEUE_MILLIS;
    this.#windowBytes = hasQueued
      ? Math.max(SMALLEST_WINDOW, this.#windowBytes / 2)
      : Math.min(LARGEST_WINDOW, this.#windowBytes * WINDOW_GROWTH);
  }

  #quickest(): number {
    return this.#lightAnswers === 0 ? 0 : Math.min(...this.#took);
  }

  /** How long an answer may take before nothing may follow. */
  #lateMillis(): number {
    return this.#isStalled ? 0 : LATE_MILLIS + Math.min(LONGEST_MILLIS, 2 * this.#quickest());
  }
}

interface Question {
  readonly at: number;
  /** All bytes sent up to and with it. */
  readonly upTo: number;
  /** Hardly anything was on the way before it: the answer tells the way there and back alone. */
  readonly isLight: boolean;
}

/** Twelve frames a second: hands are followed by eye, and a slow link is left half idle. */
const LIVE_MILLIS = 1000 / 12;
/** After a key press; fifteen a second at most. */
const URGENT_MILLIS = 1000 / 15;
const LONGEST_MILLIS = 1500;
const RECOVERY = 0.85;
/** What may be on its way as a frame goes, on a line whose rate is known: little, and for a key a little more. */
const LIVE_AHEAD_MILLIS = 100;
const URGENT_AHEAD_MILLIS = 250;
/** Queueing that nobody notices. */
const QUEUE_MILLIS = 80;
const ASK_MILLIS = 250;
const LATE_MILLIS = 150;
/** A usual frame of live cells; what is larger gets a question of its own. */
const LIGHT_BYTES = 400;
/** A fifth of a second on 2 kB/s. */
const SMALLEST_WINDOW = 400;
const LARGEST_WINDOW = 8192;
const WINDOW_GROWTH = 1.25;
/** How long a terminal that never answered is taken to be one that may. */
const FIRST_ANSWER_MILLIS = 600;
/** An answer that was lost must not stop the screen for ever. */
const STALL_MILLIS = 4000;
/** A longer route is learnt as so many answers pass. */
const KEPT_ANSWERS = 16;
