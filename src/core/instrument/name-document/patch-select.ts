import type { BankSelect } from './bank-drafts.ts';
import { descendantsNamed, numberIn, type XmlElement } from './xml-element.ts';

/** Bank select in the commands of a bank or patch; what they leave out stays as it was. */
export function bankSelectIn(commands: XmlElement | undefined, before: BankSelect): BankSelect {
  let { msb, lsb } = before;
  for (const change of commands === undefined ? [] : descendantsNamed(commands, 'ControlChange')) {
    const value = numberIn(change, 'Value', 0, 127);
    const control = numberIn(change, 'Control', 0, 127);
    if (control === 0) msb = value ?? msb;
    else if (control === 32) lsb = value ?? lsb;
  }
  return { msb, lsb };
}

/**
 * The program (0–127) that calls a patch: its attribute, or the last Program Change among its own commands. `Number`
 * is a label (`A12`, `P-001`), not a number on the wire, so it says nothing.
 * @returns a reason in words where there is none
 */
export function programOf(patch: XmlElement, commands: XmlElement | undefined): number | string {
  if (patch.attributes.ProgramChange !== undefined) {
    return numberIn(patch, 'ProgramChange', 0, 127) ?? OUT_OF_RANGE;
  }
  const change = commands === undefined ? undefined : descendantsNamed(commands, 'ProgramChange').at(-1);
  if (change === undefined) return 'no Program Change calls it';
  return numberIn(change, 'Number', 0, 127) ?? OUT_OF_RANGE;
}

const OUT_OF_RANGE = 'its Program Change is not a number from 0 to 127';
