import type { Finding, FindingKind } from './finding.ts';

/** Findings of one code that are listed one by one; the rest are counted. */
export const LISTED_PER_CODE = 20;

/** Values for the sentence, or a way to them where they cost something: only listed findings ask. */
export type FindingValues = Readonly<Record<string, number | string>>;

/** What a list held at one moment, to go back to when a guess about damaged bytes proved wrong. */
export interface FindingMark {
  readonly listed: number;
  readonly seen: ReadonlyMap<string, number>;
}

/** Gathers findings against one table; a damaged file of any size makes a bounded list. */
export class FindingList<Code extends string> {
  readonly #kinds: Readonly<Record<Code, FindingKind>>;
  #listed: Finding[] = [];
  #seen = new Map<string, number>();

  constructor(kinds: Readonly<Record<Code, FindingKind>>) {
    this.#kinds = kinds;
  }

  add(code: Code, offset: number, values?: FindingValues | (() => FindingValues)): void {
    const seen = (this.#seen.get(code) ?? 0) + 1;
    this.#seen.set(code, seen);
    if (seen > LISTED_PER_CODE) return;
    const { severity, sentence } = this.#kinds[code];
    this.#listed.push({
      code,
      severity,
      offset,
      text: fill(sentence, typeof values === 'function' ? values() : values),
    });
  }

  mark(): FindingMark {
    return { listed: this.#listed.length, seen: new Map(this.#seen) };
  }

  backTo(mark: FindingMark): void {
    this.#listed.length = mark.listed;
    this.#seen = new Map(mark.seen);
  }

  /** All of them in the order found, then one line for each code that has more than are listed. */
  toArray(): readonly Finding[] {
    const all = [...this.#listed];
    for (const [code, seen] of this.#seen) {
      if (seen <= LISTED_PER_CODE) continue;
      const { severity } = this.#kinds[code as Code];
      all.push({
        code,
        severity,
        offset: -1,
        text: `And ${seen - LISTED_PER_CODE} more of this kind (${code}).`,
      });
    }
    return all;
  }
}

function fill(sentence: string, values: FindingValues | undefined): string {
  return sentence.replace(/\{(\w+)(?: (\w+)s)?\}/g, (place, name: string, noun: string | undefined) => {
    const value = values?.[name] ?? place;
    if (noun === undefined) return String(value);
    return `${value} ${value === 1 ? noun : `${noun}s`}`;
  });
}
