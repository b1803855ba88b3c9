/** A number as a person reads it, with its sign, point, colon and per cent, and what stands on both sides of it. */
export interface NumberToken {
  readonly number: string;
  /** The word before it on its line, '' for none. */
  readonly before: string;
  /** A point or colon behind which nothing more stands, '' for none. */
  readonly mark: string;
  /** The letters behind it, as of a unit, '' for none. */
  readonly unit: string;
  /** Whether an ellipsis touches it, or its unit. */
  readonly isBeforeEllipsis: boolean;
  readonly isBehindEllipsis: boolean;
}

const NUMBER = /(?<![\d.,:/])(?:(?<!\w)[-+])?\d+(?:[.,:/]\d+)*%?/g;
const ELLIPSIS = /^[…~]/;
const AFTER_ELLIPSIS = /[…~]$/;

/** The numbers of a text of many lines. */
export function numbersOf(text: string): NumberToken[] {
  return text.split('\n').flatMap((line) =>
    [...line.matchAll(NUMBER)].map(({ 0: number, index }) => {
      const rest = line.slice(index + number.length);
      const unit = /^ ?([a-zA-Z]+)/.exec(rest)?.[1] ?? '';
      return {
        number,
        before: /([^\s\d]+) ?$/.exec(line.slice(0, index))?.[1] ?? '',
        unit,
        mark: /^[.,:/](?= )/.exec(rest)?.[0] ?? '',
        isBeforeEllipsis: ELLIPSIS.test(rest.replace(/^ ?[a-zA-Z]*/, '')),
        isBehindEllipsis: AFTER_ELLIPSIS.test(line.slice(0, index)),
      };
    }),
  );
}

/** What may be read on a screen: the numbers of texts that were never cut. */
export class WholeNumbers {
  readonly #all = new Set<string>();
  readonly #after = new Map<string, Set<string>>();
  readonly #units = new Map<string, Set<string>>();
  /** By line: most lines of a screen stand on the screens of other sizes too. */
  readonly #faults = new Map<string, readonly string[]>();

  constructor(texts: readonly string[]) {
    for (const text of texts) {
      for (const { number, before, unit, mark } of numbersOf(text)) {
        this.#all.add(number);
        this.#all.add(number + mark);
        put(this.#after, before, number);
        put(this.#units, number, unit);
      }
    }
  }

  get size(): number {
    return this.#all.size;
  }

  /** What of a painted text cannot be whole. */
  faultsIn(text: string): string[] {
    return text.split('\n').flatMap((line) => {
      const known = this.#faults.get(line);
      if (known !== undefined) return known;
      const faults = numbersOf(line).flatMap((token) => this.fault(token) ?? []);
      this.#faults.set(line, faults);
      return faults;
    });
  }

  /** Why this cannot be a whole number, or undefined where it can. */
  fault(token: NumberToken): string | undefined {
    const { number, before, unit, mark, isBeforeEllipsis, isBehindEllipsis } = token;
    const told = `${before} ${number} ${unit}`.trim();
    // At the beginning of a line may stand what elsewhere has a word before it.
    const alike = (before === '' ? undefined : this.#after.get(before)) ?? this.#all;
    if (isBehindEllipsis && !this.#all.has(number)) return `${told}: not whole behind an ellipsis`;
    if (!alike.has(number) && has(alike, number)) return `${told}: the head of a number after ${before}`;
    if (!this.#all.has(number)) return `${told}: no such number`;
    if (!this.#all.has(number + mark)) return `${told}: nothing behind ${mark}`;
    const units = this.#units.get(number)!;
    // Without a word before it, a share that has lost its sign may be equal to another number.
    const mayBeShare = before === '' && !isBeforeEllipsis && this.#all.has(`${number}%`);
    if (mayBeShare && !units.has(unit)) return `${told}: a share without its sign`;
    const isCutUnit = unit !== '' && !units.has(unit) && has(units, unit);
    return isCutUnit && !isBeforeEllipsis ? `${told}: the head of a unit` : undefined;
  }
}

/** Whether `head` begins one of `words` and is not it. */
function has(words: ReadonlySet<string>, head: string): boolean {
  return [...words].some((word) => word !== head && word.startsWith(head));
}

function put(map: Map<string, Set<string>>, key: string, value: string): void {
  map.set(key, (map.get(key) ?? new Set()).add(value));
}
