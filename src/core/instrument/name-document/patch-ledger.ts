import { lineOf, type XmlElement } from './xml-element.ts';

/**
 * What became of each patch of a name document: a program, or a reason why not. None is dropped in silence. A patch
 * that several banks use is used as soon as one of them can; else the first reason stands.
 */
export class PatchLedger {
  readonly #reasons = new Map<XmlElement, string>();
  readonly #used = new Set<XmlElement>();

  readonly #patches: readonly XmlElement[];

  constructor(patches: readonly XmlElement[]) {
    this.#patches = patches;
  }

  use(patch: XmlElement): void {
    this.#used.add(patch);
  }

  explain(patch: XmlElement, reason: string): void {
    if (!this.#reasons.has(patch)) this.#reasons.set(patch, reason);
  }

  get patchCount(): number {
    return this.#patches.length;
  }

  get usedCount(): number {
    return this.#used.size;
  }

  /** Sentences, one for each reason, with how many patches it concerns and the first of them. */
  remarks(): string[] {
    const byReason = new Map<string, XmlElement[]>();
    for (const patch of this.#patches) {
      if (this.#used.has(patch)) continue;
      const reason = this.#reasons.get(patch) ?? NEVER_REACHED;
      const alike = byReason.get(reason);
      if (alike === undefined) byReason.set(reason, [patch]);
      else alike.push(patch);
    }
    return [...byReason].map(([reason, [first, ...more]]) => {
      const name = first!.attributes.Name?.trim() || 'without a name';
      const others = more.length === 0 ? '' : ` and ${more.length} more`;
      return `not used: the patch ${name} (${lineOf(first!)})${others}: ${reason}`;
    });
  }

  /** Patches of each reason, for whoever counts. */
  get explainedCount(): number {
    return this.#patches.filter((patch) => !this.#used.has(patch)).length;
  }
}

const NEVER_REACHED = 'no channel that is heard uses its list';
