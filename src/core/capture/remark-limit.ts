/** Remarks that are told one by one in a second of run time; of those beyond, only how many there were. */
export const REMARKS_A_SECOND = 8;
const SECOND_MICROS = 1_000_000;

/**
 * Keeps the remarks about a stream shorter than the stream: noise on a line is a fault a byte, and each is a line of
 * sixty letters. The first of a second are told as they come; then the rest of that second in one line, by kind.
 */
export class RemarkLimit {
  #endMicros = Number.NEGATIVE_INFINITY;
  #told = 0;
  #latest = 0;
  #unsaid = new Map<string, number>();

  readonly #say: (micros: number, text: string) => void;

  constructor(say: (micros: number, text: string) => void) {
    this.#say = say;
  }

  /**
   * @param kind what it is, in words that are the same each time
   * @param text what is said of this one
   */
  remark(micros: number, kind: string, text: string): void {
    this.look(micros);
    if (micros >= this.#endMicros) {
      this.#endMicros = micros + SECOND_MICROS;
      this.#told = 0;
    }
    this.#latest = micros;
    if (this.#told < REMARKS_A_SECOND) {
      this.#told += 1;
      this.#say(micros, text);
    } else this.#unsaid.set(kind, (this.#unsaid.get(kind) ?? 0) + 1);
  }

  /** Time has passed: tells what is left of a second that is over. */
  look(micros: number): void {
    if (micros >= this.#endMicros) this.tellRest();
  }

  /** Tells what is left, now. */
  tellRest(): void {
    if (this.#unsaid.size === 0) return;
    const kinds = [...this.#unsaid].map(([kind, count]) => `${kind} (${count})`);
    this.#unsaid.clear();
    this.#say(this.#latest, `and in the same second: ${kinds.join(', ')}`);
  }
}
