/** The parts of the pattern, in the order they are sent; each strains something else. */
export const LOOP_SECTIONS = [
  'values',
  'alone',
  'full',
  'running',
  'real-time',
  'sysex',
  'at-once',
  'end',
] as const;
export type LoopSection = (typeof LOOP_SECTIONS)[number];

/** What is handed to a port in one write: a whole message, a real-time byte, or a piece of a SysEx. */
export interface LoopStep {
  readonly section: LoopSection;
  readonly bytes: readonly number[];
  /** Silence of the wire before it (µs); 0: it follows what was before without a gap. */
  readonly restMicros: number;
}

export interface LoopPlan {
  /** No note-ons, no Start, no Continue: nothing that could make an instrument sound. */
  readonly quiet: boolean;
  /** How often, each time with other values. */
  readonly rounds: number;
  /**
   * For an interface that encodes for itself: whole messages only, without running status, undefined bytes, and
   * real-time bytes inside messages other than SysEx, since it could pass none of these on as they are.
   */
  readonly whole: boolean;
}
