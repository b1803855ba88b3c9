import type { Instrument, Program } from './instrument.ts';

/** What an instrument has for a bank select and a program. */
export type FoundProgram =
  | { readonly kind: 'found'; readonly program: Program }
  | { readonly kind: 'no-bank' }
  | { readonly kind: 'no-program' };

/**
 * The sound behind a bank select and a Program Change. A bank that is selected by one of the two controllers alone
 * takes any value of the other; where several fit, the one that says more wins. An instrument with a single bank
 * that nothing selects heeds no bank select.
 * @param msb last CC 0 before the program, −1 where none was sent; @param lsb CC 32 likewise
 */
export function findProgram(instrument: Instrument, msb: number, lsb: number, number: number): FoundProgram {
  let best: Program | undefined;
  let bestSays = -1;
  let hasBank = false;
  for (const bank of instrument.banks) {
    // Where nothing was selected the instrument is in the bank it starts with: its first, or the one at 0.
    const says = agreement(bank.msb, msb) + agreement(bank.lsb, lsb);
    const isStart = msb < 0 && lsb < 0 && bank === instrument.banks[0];
    if (!isStart && says < 0) continue;
    hasBank = true;
    const program = bank.programs.find((each) => each.number === number);
    if (program !== undefined && says > bestSays) {
      best = program;
      bestSays = Math.max(says, 0);
    } else if (program !== undefined && best === undefined) best = program;
  }
  if (best !== undefined) return { kind: 'found', program: best };
  return hasBank ? { kind: 'no-program' } : { kind: 'no-bank' };
}

/** 1 for the same value, 0 where the bank does not ask, far below 0 where they differ. */
function agreement(wanted: number | undefined, sent: number): number {
  if (wanted === undefined) return 0;
  return wanted === Math.max(sent, 0) ? 1 : -10;
}
