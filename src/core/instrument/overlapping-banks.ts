import type { Bank } from './instrument.ts';

/** Where banks cannot be told apart: which of them, what is wrong, what to do. */
export interface BankClash {
  readonly at: number;
  readonly what: string;
  readonly nextStep: string;
}

/**
 * Banks that a sender cannot tell apart: one that nothing selects beside others, or two that the same select may mean
 * and that have a program of one number. Undefined where all is clear.
 */
export function overlappingBanks(banks: readonly Bank[]): BankClash | undefined {
  if (banks.length < 2) return undefined;
  const bare = banks.findIndex(({ msb, lsb }) => msb === undefined && lsb === undefined);
  if (bare >= 0) {
    return {
      at: bare,
      what: `nothing selects the bank "${banks[bare]!.name}"`,
      nextStep: 'give it msb (CC 0), lsb (CC 32) or both',
    };
  }
  const numbers = banks.map(({ programs }) => new Set(programs.map(({ number }) => number)));
  for (const [at, bank] of banks.entries()) {
    for (let before = 0; before < at; before += 1) {
      const other = banks[before]!;
      if (!mayMean(bank.msb, other.msb) || !mayMean(bank.lsb, other.lsb)) continue;
      if (other.programs.every(({ number }) => !numbers[at]!.has(number))) continue;
      return {
        at,
        what: `the bank "${other.name}" has the same select and a program of the same number`,
        nextStep: 'give each its own msb and lsb',
      };
    }
  }
  return undefined;
}

/** A value that is not sent may still stand from before, so it is the same as any. */
const mayMean = (a: number | undefined, b: number | undefined): boolean =>
  a === undefined || b === undefined || a === b;
