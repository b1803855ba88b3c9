/** Why a recording is not as written, as far as it can be told. */
export const CAUSE_CODES = [
  'running-status-across-tracks',
  'file-running-status',
  'no-timing',
  'tracks-in-turn',
  'tempo-ignored',
  'running-status-over-sysex',
  'bytes-lost',
  'velocity-zero',
  'sysex-unended',
  'slow-adds-up',
  'slow-chords',
  'timer-tick',
  'clock-rate',
] as const;
export type CauseCode = (typeof CAUSE_CODES)[number];

export interface Cause {
  readonly code: CauseCode;
  /** What is seen in this recording, in one sentence. */
  readonly evidence: string;
}
