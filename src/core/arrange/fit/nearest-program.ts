import type { Bank, Instrument, Program } from '../../instrument/instrument.ts';
import { type Nearness, nearnessOf, programDistance } from './program-distance.ts';

export interface ProgramChoice {
  readonly program: Program;
  /** Bank Select that chooses it: of a bank that one controller selects alone, the other as it was asked for. */
  readonly msb: number | undefined;
  readonly lsb: number | undefined;
  /** `exact`: bank and number are there as they are asked for. */
  readonly why: 'exact' | Nearness;
}

/** A program as a song asks for it; a bank controller it never sent is undefined. */
export interface ProgramWish {
  readonly program: number;
  readonly msb: number | undefined;
  readonly lsb: number | undefined;
}

/**
 * The program of an instrument that stands nearest to what a song asks for. What the profile says a program is like
 * wins over its number. Undefined where the instrument lists none: then nothing is known, and nothing changed.
 */
export function nearestProgram(wish: ProgramWish, { banks }: Instrument): ProgramChoice | undefined {
  let best: { readonly bank: Bank; readonly program: Program; readonly distance: number } | undefined;
  let exact: { readonly bank: Bank; readonly program: Program } | undefined;
  for (const bank of banks) {
    const isAsked = isBank(bank, wish);
    for (const program of bank.programs) {
      if (isAsked && program.number === wish.program && (exact === undefined || isFull(bank))) {
        exact = { bank, program };
      }
      const distance = programDistance(wish.program, likeOf(program));
      if (best === undefined || distance < best.distance) best = { bank, program, distance };
    }
  }
  if (exact !== undefined) {
    const { bank, program } = exact;
    const [msb, lsb] = isFree(bank.msb, bank.lsb)
      ? [wish.msb, bank.lsb]
      : [bank.msb, isFree(bank.lsb, bank.msb) ? wish.lsb : bank.lsb];
    return { program, msb, lsb, why: 'exact' };
  }
  if (best === undefined) return undefined;
  const { bank, program } = best;
  return { program, msb: bank.msb, lsb: bank.lsb, why: nearnessOf(wish.program, likeOf(program)) };
}

/** Whether a bank select chooses this bank; one that is selected by one controller alone takes any value of the other. */
export function isBank({ msb, lsb }: Bank, sent: Pick<ProgramWish, 'msb' | 'lsb'>): boolean {
  return (
    (isFree(msb, lsb) || (msb ?? 0) === (sent.msb ?? 0)) &&
    (isFree(lsb, msb) || (lsb ?? 0) === (sent.lsb ?? 0))
  );
}

/** Where neither selects it, a song without a bank select, or with 0, gets it. */
function isFree(controller: number | undefined, other: number | undefined): boolean {
  return controller === undefined && other !== undefined;
}

const isFull = ({ msb, lsb }: Bank): boolean => msb !== undefined && lsb !== undefined;

export function likeOf({ like, number }: Program): number {
  return like ?? number;
}
