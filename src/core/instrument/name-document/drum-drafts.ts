import type { Drums } from '../instrument.ts';
import { patchName } from './bank-drafts.ts';
import type { PatchLedger } from './patch-ledger.ts';
import { descendantsNamed, numberIn, type XmlElement } from './xml-element.ts';

/** Drums as they come together from the sets of names that name keys. */
export class DrumDrafts {
  readonly #channels: number[] = [];
  readonly #keys = new Map<number, string>();
  readonly #kits = new Map<number, XmlElement>();
  readonly remarks: string[] = [];

  readonly #ledger: PatchLedger;

  constructor(ledger: PatchLedger) {
    this.#ledger = ledger;
  }

  get isEmpty(): boolean {
    return this.#channels.length === 0;
  }

  /** Channels that play drums, and the names of their keys; the first name of a key stays. */
  addKeys(channels: readonly number[], list: XmlElement): void {
    this.#channels.push(...channels);
    let odd = 0;
    let other = 0;
    for (const note of descendantsNamed(list, 'Note')) {
      const key = numberIn(note, 'Number', 0, 127);
      const name = (note.attributes.Name ?? '').trim();
      if (key === undefined) odd += 1;
      else if (name !== '' && !this.#keys.has(key)) this.#keys.set(key, name);
      else if (name !== '' && this.#keys.get(key) !== name) other += 1;
    }
    if (odd > 0)
      remark(this.remarks, odd, 'key is not a number from 0 to 127', 'keys are not numbers from 0 to 127');
    if (other > 0)
      remark(
        this.remarks,
        other,
        'drum key has another name in another list',
        'drum keys have other names in another list',
      );
  }

  addKit(program: number, patch: XmlElement): void {
    const other = this.#kits.get(program);
    if (other === undefined) {
      this.#kits.set(program, patch);
      this.#ledger.use(patch);
    } else if (other !== patch) this.#ledger.explain(patch, 'another kit has the same program');
  }

  drums(): Drums {
    return {
      channels: [...new Set(this.#channels)].sort((a, b) => a - b),
      keys: new Map([...this.#keys].sort(([a], [b]) => a - b)),
      kits: new Map(
        [...this.#kits]
          .sort(([a], [b]) => a - b)
          .map(([program, patch]) => [program, patchName(patch) || `Kit ${program + 1}`]),
      ),
    };
  }
}

function remark(remarks: string[], count: number, one: string, many: string): void {
  remarks.push(count === 1 ? `1 ${one}` : `${count} ${many}`);
}
