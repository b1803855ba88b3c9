/** Thrown for bytes in which there is nothing to play; what could be played never throws. */
export class UnreadableSong extends Error {
  override readonly name = 'UnreadableSong';
  /** Byte offset where reading gave up. */
  readonly offset: number;
  /** Why, as a sentence. */
  readonly reason: string;
  /** What the user can do, as a sentence. */
  readonly nextStep: string;

  constructor(offset: number, reason: string, nextStep: string) {
    super(`${reason} ${nextStep}`);
    this.offset = offset;
    this.reason = reason;
    this.nextStep = nextStep;
  }
}
