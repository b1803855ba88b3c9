/**
 * What a receiver holds where nothing was said to it. General MIDI 1: volume 100, expression 127, bend range ±2;
 * General MIDI 2: pan, balance and sound controllers in the middle, reverb send 40; MIDI 1.0: bend 00 40.
 */
export function restOf(what: string): number {
  const part = what.slice(what.indexOf(':') + 1);
  if (part === 'master volume') return 0x3fff;
  if (part === 'bend') return 8192;
  if (part === 'rpn 0.msb') return 2;
  if (/^(rpn [12]|nrpn \d+)\.msb$/.test(part)) return 64;
  const controller = /^cc(\d+)$/.exec(part)?.[1];
  if (controller === undefined) return 0;
  const n = Number(controller);
  if (n === 7) return 100;
  if (n === 8 || n === 10 || (n >= 70 && n < 80)) return 64;
  if (n === 11 || n === 122 || (n >= 98 && n <= 101)) return 127;
  return n === 91 ? 40 : 0;
}

/** Acts once and leaves no state; or is told by another entry (`mono`, `omni`, `selected`). */
const NO_STATE = /:cc(84|88|120|123|124|125|126|127)$|:selected$/;

/** What a receiver was told: a `WireReader`, or what one held at some moment. */
interface Told {
  readonly said: ReadonlyMap<string, number>;
  readonly wasReset: boolean;
}

/**
 * Where two receivers differ, as `what: wanted ≠ found`. What `wanted` was never told must be at rest in `found`,
 * unless nobody hears it there.
 */
export function differences(wanted: Told, found: Told, unheard: (what: string) => boolean): string[] {
  const list: string[] = [];
  for (const what of new Set([...wanted.said.keys(), ...found.said.keys()])) {
    if (NO_STATE.test(what)) continue;
    const want = wanted.said.get(what) ?? (wanted.wasReset ? restOf(what) : undefined);
    const has = found.said.get(what) ?? (found.wasReset ? restOf(what) : undefined);
    if (want === has) continue;
    if (want === undefined && has === restOf(what)) continue;
    if (want === 0 && has === undefined && what.endsWith('.steps')) continue; // one up and one down are none
    if (!wanted.said.has(what) && unheard(what)) continue;
    list.push(`${what}: ${want} ≠ ${has}`);
  }
  return list.sort();
}
