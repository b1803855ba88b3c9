import { alignBytes } from './align-bytes.ts';
import { plainMessages } from './plain-messages.ts';

export interface ByteFault {
  readonly kind: 'lost' | 'changed' | 'added';
  /** Place in what was sent; of an added byte that of the next one. */
  readonly place: number;
  readonly sent: number | undefined;
  readonly heard: number | undefined;
}

/** What happened to the bytes on the way. */
export interface ByteDamage {
  /** [sent] place of the heard byte, −1 where it is lost. */
  readonly heardOf: Int32Array;
  readonly lost: number;
  readonly changed: number;
  readonly added: number;
  /** How often each bit (0 the lowest) came as 1 where 0 was sent, and the other way. */
  readonly bitsSet: readonly number[];
  readonly bitsCleared: readonly number[];
  /** In order; all of them. */
  readonly faults: readonly ByteFault[];
}

export function byteDamage(sent: Uint8Array, heard: Uint8Array): ByteDamage {
  const heardOf = alignBytes(sent, heard);
  const bitsSet = new Array<number>(8).fill(0);
  const bitsCleared = new Array<number>(8).fill(0);
  const faults: ByteFault[] = [];
  let next = 0;
  const addedUpTo = (end: number, place: number): void => {
    for (; next < end; next += 1) faults.push({ kind: 'added', place, sent: undefined, heard: heard[next]! });
  };
  for (let place = 0; place < sent.length; place += 1) {
    const at = heardOf[place]!;
    if (at < 0) {
      faults.push({ kind: 'lost', place, sent: sent[place]!, heard: undefined });
      continue;
    }
    addedUpTo(at, place);
    next = at + 1;
    const bits = sent[place]! ^ heard[at]!;
    if (bits === 0) continue;
    faults.push({ kind: 'changed', place, sent: sent[place]!, heard: heard[at]! });
    for (let bit = 0; bit < 8; bit += 1) {
      if ((bits & (1 << bit)) === 0) continue;
      const counts = (heard[at]! & (1 << bit)) !== 0 ? bitsSet : bitsCleared;
      counts[bit]! += 1;
    }
  }
  addedUpTo(heard.length, sent.length);
  const count = (kind: ByteFault['kind']) => faults.filter((one) => one.kind === kind).length;
  return {
    heardOf,
    lost: count('lost'),
    changed: count('changed'),
    added: count('added'),
    bitsSet,
    bitsCleared,
    faults,
  };
}

export const damageOf = ({ lost, changed, added }: Pick<ByteDamage, 'lost' | 'changed' | 'added'>): number =>
  lost + changed + added;

/** The same of what the bytes say, where an interface encodes anew: see `plainMessages`. */
export function messageDamage(
  sent: Uint8Array,
  heard: Uint8Array,
): { messages: ByteDamage; realTime: ByteDamage } {
  const ours = plainMessages(sent);
  const theirs = plainMessages(heard);
  return {
    messages: byteDamage(ours.messages, theirs.messages),
    realTime: byteDamage(ours.realTime, theirs.realTime),
  };
}
