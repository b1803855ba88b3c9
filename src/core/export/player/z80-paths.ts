/**
 * What each path of the Z80 player costs, in units of 32 T-states. `plain` is from one byte to the next; the others
 * come on top. `tick` is a grid step that waits, `tickOwing` one that pays a debt; `wait` is what is round them.
 */
export const Z80_PATHS = {
  plain: 5,
  late: 2,
  status: 3,
  levelEnd: 3,
  topEnd: 2,
  pair: 6,
  shortReference: 6,
  reference: 6,
  longReference: 7,
  wait: 6,
  longWait: 8,
  tick: 6,
  tickOwing: 4,
  whole: 5,
  /** On top: asking the ready bit, each round of asking again, and asking the key at a step. */
  ready: 2,
  poll: 2,
  stop: 2,
} as const;

export const Z80_UNIT_CYCLES = 32;
/** From asking the ready bit to writing the byte, in T-states. */
export const Z80_READY_TO_OUT = 32;
