import type { Bank, Instrument, Program } from '../../instrument/instrument.ts';
import { type Nearness, nearnessOf, programDistance } from './program-distance.ts';

export interface ProgramChoice {
  readonly bank: Bank;
  readonly program: Program;
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
  for (const bank of banks) {
    const isAsked = answers(bank.msb, wish.msb) && answers(bank.lsb, wish.lsb);
    for (const program of bank.programs) {
      if (isAsked && program.number === wish.program) return { bank, program, why: 'exact' };
      const distance = programDistance(wish.program, likeOf(program));
      if (best === undefined || distance < best.distance) best = { bank, program, distance };
    }
  }
  return best && { ...best, why: nearnessOf(wish.program, likeOf(best.program)) };
}

export function likeOf({ like, number }: Program): number {
  return like ?? number;
}

/** A bank that is not selected by this controller is the one a song without it, or with 0, gets. */
function answers(needed: number | undefined, sent: number | undefined): boolean {
  return (needed ?? 0) === (sent ?? 0);
}
