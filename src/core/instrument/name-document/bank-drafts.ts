import type { Bank } from '../instrument.ts';
import { likeOfName } from './like-of-name.ts';
import type { PatchLedger } from './patch-ledger.ts';
import type { XmlElement } from './xml-element.ts';

/** CC 0 and CC 32 that select a bank; undefined: not sent. */
export interface BankSelect {
  readonly msb: number | undefined;
  readonly lsb: number | undefined;
}

interface Draft extends BankSelect {
  readonly name: string;
  readonly programs: Map<number, XmlElement>;
}

/** Banks as they come together from the patches of a document, and then those that a sender can tell apart. */
export class BankDrafts {
  readonly #drafts = new Map<string, Draft>();

  readonly #ledger: PatchLedger;

  constructor(ledger: PatchLedger) {
    this.#ledger = ledger;
  }

  add(bankName: string, select: BankSelect, number: number, patch: XmlElement): void {
    const id = `${select.msb}/${select.lsb}`;
    const draft = this.#drafts.get(id) ?? { ...select, name: bankName, programs: new Map() };
    this.#drafts.set(id, draft);
    const other = draft.programs.get(number);
    if (other === undefined) draft.programs.set(number, patch);
    else if (other !== patch) {
      this.#ledger.explain(patch, 'its bank has another patch with the same program, which comes first');
    }
  }

  /** Empty where no patch could be used. What cannot be told apart from a bank before it is explained and left out. */
  banks(): Bank[] {
    const kept: Draft[] = [];
    const several = this.#drafts.size > 1;
    for (const draft of this.#drafts.values()) {
      const { msb, lsb, programs } = draft;
      for (const [number, patch] of programs) {
        if (several && msb === undefined && lsb === undefined) {
          this.#ledger.explain(patch, 'nothing says how its bank is selected, and there are others');
        } else if (kept.some((other) => mayBeMeant(other, draft) && other.programs.has(number))) {
          this.#ledger.explain(
            patch,
            'the select of its bank may mean another bank, which has the same program',
          );
        } else {
          this.#ledger.use(patch);
          continue;
        }
        programs.delete(number);
      }
      if (programs.size > 0) kept.push(draft);
    }
    return kept.map(({ name, msb, lsb, programs }) => ({
      name,
      msb,
      lsb,
      programs: [...programs]
        .sort(([a], [b]) => a - b)
        .map(([number, patch]) => {
          const named = patchName(patch);
          return {
            number,
            name: named || `Program ${number + 1}`,
            like: likeOfName(named),
            keys: undefined,
            voicesEach: 1,
          };
        }),
    }));
  }
}

/** As a person reads it, '' for none. */
export function patchName(patch: XmlElement): string {
  return (patch.attributes.Name ?? '').trim().slice(0, LONGEST_NAME);
}

const LONGEST_NAME = 80;

/** A half that is not sent may still stand from before, so it is the same as any. */
function mayBeMeant(a: BankSelect, b: BankSelect): boolean {
  const isSame = (one: number | undefined, two: number | undefined) =>
    one === undefined || two === undefined || one === two;
  return isSame(a.msb, b.msb) && isSame(a.lsb, b.lsb);
}
