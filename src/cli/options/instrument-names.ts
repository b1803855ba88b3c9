import { fetchInstruments } from '../../profile/instrument-shelf.ts';

export interface InstrumentFlags {
  readonly instrument?: string | undefined;
  readonly map?: string | undefined;
}

/** `a@lindwurm-eight` → the port `a` and the instrument behind it. */
export function portAndInstrument(text: string): {
  readonly port: string;
  readonly instrument: string | undefined;
} {
  const at = text.indexOf('@');
  if (at < 0) return { port: text.trim(), instrument: undefined };
  return { port: text.slice(0, at).trim(), instrument: text.slice(at + 1).trim() };
}

/** The parts of a map: `1-8=a,9-16=b@name`. */
export function mapParts(map: string | undefined): { readonly channels: string; readonly to: string }[] {
  return (map?.split(/,(?=[\d\s,-]+=)/) ?? []).map((part) => {
    const at = part.indexOf('=');
    return at < 0 ? { channels: part, to: '' } : { channels: part.slice(0, at), to: part.slice(at + 1) };
  });
}

/** Reads the instruments that the flags name; afterwards `fetchedInstrument` has them. */
export async function fetchNamedInstruments(all: readonly InstrumentFlags[]): Promise<void> {
  const names = all.flatMap(({ instrument, map }) => [
    instrument,
    ...mapParts(map).map(({ to }) => portAndInstrument(to).instrument),
  ]);
  await fetchInstruments([...new Set(names.filter((name) => name !== undefined))]);
}
