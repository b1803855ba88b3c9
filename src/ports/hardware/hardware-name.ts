/**
 * Which port `interface:<index or part of name>` means. ALSA puts `client:port` numbers at the end of a name; they
 * change when a device is plugged in again, so a name is remembered without them.
 */
export type HardwareChoice =
  | { readonly kind: 'found'; readonly index: number; readonly name: string }
  | { readonly kind: 'several'; readonly matches: readonly string[] }
  | { readonly kind: 'none' };

export function chooseHardware(names: readonly string[], wanted: string): HardwareChoice {
  if (/^\d+$/.test(wanted)) {
    const index = Number(wanted);
    const name = names[index];
    if (name !== undefined) return { kind: 'found', index, name: lastingName(name) };
  }
  const exact = names.findIndex((name) => lastingName(name) === lastingName(wanted));
  if (exact >= 0) return { kind: 'found', index: exact, name: lastingName(names[exact]!) };
  const part = wanted.toLowerCase();
  const matches = names.filter((name) => name.toLowerCase().includes(part));
  if (matches.length === 1) {
    return { kind: 'found', index: names.indexOf(matches[0]!), name: lastingName(matches[0]!) };
  }
  return matches.length === 0 ? { kind: 'none' } : { kind: 'several', matches };
}

export function lastingName(name: string): string {
  return name.replace(/ \d+:\d+$/, '');
}
