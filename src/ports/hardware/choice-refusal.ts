import { Refusal } from '../../trouble/refusal.ts';
import { chooseHardware } from './hardware-name.ts';

/** No port, or several, answer to the name. */
export function choiceRefusal(where: string, kind: 'none' | 'several', names: readonly string[]): Refusal {
  const list = names.map((name) => `'${name}'`).join(', ');
  if (kind === 'several')
    return new Refusal(`several ports have that in their name: ${list}`, where, 'write more of it');
  const what =
    names.length === 0 ? 'no device is connected' : `no port has that name or number; there are ${list}`;
  return new Refusal(what, where, '`wirepit ports` lists what is here');
}

/**
 * The lasting name of the port that is meant; where it may come later, the name as it was wanted.
 * @throws Refusal where none answers to it, or several do
 */
export function hardwareMeant(
  where: string,
  names: readonly string[],
  wanted: string,
  mayComeLater: boolean,
): string {
  const choice = chooseHardware(names, wanted);
  if (choice.kind === 'found') return choice.name;
  if (choice.kind === 'several') throw choiceRefusal(where, 'several', choice.matches);
  if (!mayComeLater) throw choiceRefusal(where, 'none', names);
  return wanted;
}
