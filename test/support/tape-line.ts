/**
 * The level that a machine's cassette input has while a sound is played to it: a comparator that turns over a little
 * beyond the middle, as the input of a small machine does (common practice, no source).
 */
export class TapeLine {
  readonly #turns: number[] = [];
  #next = 0;
  /** Seconds that it lasts. */
  readonly seconds: number;

  /** @param samples -1 … 1 */
  constructor(samples: Float32Array, rate: number) {
    let level = -1;
    for (let at = 1; at < samples.length; at += 1) {
      const [before, now] = [samples[at - 1]!, samples[at]!];
      const edge = -level * BEYOND;
      if (level < 0 ? now < edge : now > edge) continue;
      const part = now === before ? 0 : Math.min(1, Math.max(0, (edge - before) / (now - before)));
      this.#turns.push((at - 1 + part) / rate);
      level = -level;
    }
    this.seconds = samples.length / rate;
  }

  /** @param seconds never less than when asked before */
  level(seconds: number): 0 | 1 {
    while (this.#next < this.#turns.length && this.#turns[this.#next]! <= seconds) this.#next += 1;
    return (this.#next & 1) as 0 | 1;
  }

  /** When it turns over next, of the moment that was asked for last; its end, where it does not. */
  get nextTurn(): number {
    return this.#turns[this.#next] ?? this.seconds;
  }
}

const BEYOND = 0.05;
