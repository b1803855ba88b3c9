import { CAUSE_CODES, type Cause, type CauseCode } from './cause.ts';
import { bytesLost } from './causes/bytes-lost.ts';
import type { Evidence } from './causes/evidence.ts';
import { overSysEx } from './causes/over-sysex.ts';
import { slowChords } from './causes/slow-chords.ts';
import { sysExUnended } from './causes/sysex-unended.ts';
import { timerTick } from './causes/timer-tick.ts';
import { velocityZero } from './causes/velocity-zero.ts';
import { wrongTime } from './causes/wrong-time.ts';
import { graininessOf } from './graininess.ts';

/**
 * Each cause by a test of its own; several may be named. What explains missing notes is asked from the most special to
 * the most general: bytes that are lost anywhere explain everything and are named last of those.
 * @param expected causes that are none here
 */
export function causesOf(known: Omit<Evidence, 'grainMicros'>, expected: readonly CauseCode[]): Cause[] {
  const evidence = { ...known, grainMicros: graininessOf(known.heard) };
  const found = new Map<CauseCode, string>();
  const add = (code: CauseCode, words: string | undefined) => words !== undefined && found.set(code, words);
  for (const [code, words] of wrongTime(evidence)) add(code, words);
  if (known.status !== undefined) add(known.status.code, known.status.evidence);
  const over = overSysEx(evidence);
  if (known.status === undefined) {
    add('running-status-over-sysex', over);
    if (over === undefined) add('bytes-lost', bytesLost(evidence));
  }
  add('velocity-zero', velocityZero(evidence));
  add('sysex-unended', sysExUnended(evidence));
  if (known.heard.hasTimes && known.matched.law !== 'no-timing') {
    add('slow-chords', slowChords(evidence));
    // By far the dearest: not asked where nobody wants to know.
    if (!expected.includes('timer-tick')) add('timer-tick', timerTick(evidence));
  }
  return CAUSE_CODES.filter((code) => found.has(code) && !expected.includes(code)).map((code) => ({
    code,
    evidence: found.get(code)!,
  }));
}
