import { textOf } from '../capture/byte-dump.ts';
import { FAULT_WORDS, Fault, type FaultKind, REST_WORDS } from '../midi/stream-fault.ts';
import { standstillMicros } from './standstills.ts';

/** What a remark says of the stream: a fault, or the rest of a message in whose middle listening began. */
export type ToldKind = FaultKind | 'rest';

export interface ToldFault {
  readonly kind: ToldKind;
  /** Place in the stream that was recorded; NaN: only that it came is told. */
  readonly offset: number;
  readonly bytes: readonly number[];
}

/** One line, and what it tells of: of many in a second only how many there were of each kind. */
export interface StreamRemark {
  readonly micros: number;
  readonly text: string;
  readonly faults: readonly ToldFault[];
}

export interface StandstillRemark {
  /** When it was over. */
  readonly micros: number;
  readonly lengthMicros: number;
}

export interface LogRemarks {
  readonly stream: readonly StreamRemark[];
  readonly standstills: readonly StandstillRemark[];
}

/**
 * `# 600000<TAB>port<TAB>byte 6: data byte with no status before it: 41`: a log of whole messages keeps faults there, and
 * when its listener stood still.
 */
export function logRemarks(file: Uint8Array): LogRemarks {
  const text = textOf(file);
  const stream: StreamRemark[] = [];
  const standstills: StandstillRemark[] = [];
  if (!text.startsWith('# wirepit log')) return { stream, standstills };
  for (const line of text.split('\n')) {
    const found = /^# (\d+)\t[^\t]*\t(.*)$/.exec(line);
    if (found === null) continue;
    const micros = Number(found[1]);
    const lengthMicros = standstillMicros(found[2]!);
    if (lengthMicros !== undefined) standstills.push({ micros, lengthMicros });
    const faults = [...oneFault(found[2]!), ...manyFaults(found[2]!)];
    if (faults.length > 0) stream.push({ micros, text: found[2]!, faults });
  }
  const byTime = (a: { readonly micros: number }, b: { readonly micros: number }) => a.micros - b.micros;
  return { stream: stream.sort(byTime), standstills: standstills.sort(byTime) };
}

/** That a SysEx was cut say its own bytes, which are in the log. */
function kindOf(words: string): ToldKind | undefined {
  if (words === REST_WORDS) return 'rest';
  const kind = FAULT_WORDS.indexOf(words);
  return kind < 0 || kind === Fault.sysExCut ? undefined : (kind as FaultKind);
}

function oneFault(remark: string): ToldFault[] {
  const found = /^byte (\d+): (.*?)(?:: ([0-9A-F ]*))?$/.exec(remark);
  const kind = found === null ? undefined : kindOf(found[2]!);
  if (found === null || kind === undefined) return [];
  const bytes = (found[3] ?? '').split(' ').filter((hex) => hex !== '');
  return [{ kind, offset: Number(found[1]), bytes: bytes.map((hex) => Number.parseInt(hex, 16)) }];
}

/** `and in the same second: data byte with no status before it (22), …`, of which no line tells more than these. */
function manyFaults(remark: string): ToldFault[] {
  const found = /^and in the same second: (.*)$/.exec(remark);
  if (found === null) return [];
  return found[1]!.split(', ').flatMap((one) => {
    const [, words = '', count = '0'] = /^(.*) \((\d+)\)$/.exec(one) ?? [];
    const kind = kindOf(words);
    const many = Math.min(MOST_IN_A_SECOND, Number(count));
    return kind === undefined ? [] : Array.from({ length: many }, () => ({ kind, offset: NaN, bytes: [] }));
  });
}

/** A second of bytes on the wire (MIDI 1.0, p. 1). */
const MOST_IN_A_SECOND = 3125;
