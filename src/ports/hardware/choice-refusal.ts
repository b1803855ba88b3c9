import { Refusal } from '../../trouble/refusal.ts';

/** No port, or several, answer to the name. */
export function choiceRefusal(where: string, kind: 'none' | 'several', names: readonly string[]): Refusal {
  const list = names.map((name) => `'${name}'`).join(', ');
  if (kind === 'several')
    return new Refusal(`several ports have that in their name: ${list}`, where, 'write more of it');
  const what =
    names.length === 0 ? 'no device is connected' : `no port has that name or number; there are ${list}`;
  return new Refusal(what, where, '`wirepit ports` lists what is here');
}
