import { textOf } from '../capture/byte-dump.ts';
import { FAULT_WORDS, type FaultKind } from '../midi/stream-fault.ts';
import { standstillMicros } from './standstills.ts';

export interface FaultRemark {
  readonly micros: number;
  readonly kind: FaultKind;
}

export interface StandstillRemark {
  /** When it was over. */
  readonly micros: number;
  readonly lengthMicros: number;
}

export interface LogRemarks {
  readonly faults: readonly FaultRemark[];
  readonly standstills: readonly StandstillRemark[];
}

/**
 * `# 600000<TAB>port<TAB>byte 6: data byte with no status before it: 41`: a log of whole messages keeps faults there, and
 * when its listener stood still.
 */
export function logRemarks(file: Uint8Array): LogRemarks {
  const text = textOf(file);
  const faults: FaultRemark[] = [];
  const standstills: StandstillRemark[] = [];
  if (!text.startsWith('# wirepit log')) return { faults, standstills };
  for (const line of text.split('\n')) {
    const found = /^# (\d+)\t[^\t]*\t(.*)$/.exec(line);
    if (found === null) continue;
    const micros = Number(found[1]);
    const lengthMicros = standstillMicros(found[2]!);
    if (lengthMicros !== undefined) standstills.push({ micros, lengthMicros });
    const fault = /^byte \d+: (.*?)(?:: [0-9A-F ]*)?$/.exec(found[2]!);
    const kind = fault === null ? -1 : FAULT_WORDS.indexOf(fault[1]!);
    if (kind >= 0) faults.push({ micros, kind: kind as FaultKind });
  }
  const byTime = (a: { readonly micros: number }, b: { readonly micros: number }) => a.micros - b.micros;
  return { faults: faults.sort(byTime), standstills: standstills.sort(byTime) };
}
