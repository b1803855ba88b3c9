import type { CauseCode } from './cause.ts';
import type { ComparisonDocument } from './comparison-document.ts';

/** Notes from which on a cause can be named; and one that is read from fine differences of time. */
const SURE_NOTES = 12;
const FINE_NOTES = 24;
const FINE_TIME: ReadonlySet<CauseCode> = new Set(['clock-rate', 'slow-chords', 'slow-adds-up']);
const LOOKS_AGAIN = 2;

/** Which causes are sure: a handful of notes accuses nobody, and a single look may be at a moment at which something else is likely. */
export class CausesSeen {
  /** In how many looks on end each was seen. */
  #looks: ReadonlyMap<CauseCode, number> = new Map();

  isSeen(code: CauseCode): boolean {
    return (this.#looks.get(code) ?? 0) >= LOOKS_AGAIN;
  }

  /** @param before notes heard before those of the document */
  sure({ causes, notes }: ComparisonDocument, before: number): ComparisonDocument['causes'] {
    this.#looks = new Map(causes.map(({ code }) => [code, (this.#looks.get(code) ?? 0) + 1]));
    const heard = notes.heard + before;
    return causes.filter(({ code }) => {
      if (code === 'sysex-unended') return true;
      return heard >= (FINE_TIME.has(code) ? FINE_NOTES : SURE_NOTES) && this.isSeen(code);
    });
  }
}
