import type { Instrument } from '../core/instrument/instrument.ts';

/**
 * The instruments that this run has asked for, by the name they were asked for with. What reads them (TOML, XML, a
 * schema) is loaded only where one is asked for, which is why they are fetched beforehand and taken here.
 */
const SHELF = new Map<string, Instrument>();

/**
 * Reads the instruments named, each once.
 * @throws {Refusal} with file and line, where one is not there or not as it should be
 */
export async function fetchInstruments(names: readonly string[]): Promise<void> {
  const missing = names.filter((name) => !SHELF.has(name));
  if (missing.length === 0) return;
  const { profileNamed } = await import('./profile-named.ts');
  for (const name of missing) SHELF.set(name, profileNamed(name).instrument);
}

/** An instrument that was fetched. */
export function fetchedInstrument(name: string): Instrument {
  const instrument = SHELF.get(name);
  if (instrument === undefined) throw new Error(`the instrument ${name} was not fetched`);
  return instrument;
}
