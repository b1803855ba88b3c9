import type { PlayerPaths } from './player-clock.ts';

/**
 * What each path of the 6502 player costs, in units of 8 cycles. `plain` is from one byte to the next; the others come
 * on top. `page` is a source that runs into another page. `tick` is a grid step that is over, `tickNear` and
 * `tickHigher` come on top where it is near and where it is later than the next byte may be; `tickRest` where it is far.
 */
export const PATHS_6502 = {
  plain: 11,
  status: 5,
  levelEnd: 6,
  topEnd: 2,
  pair: 15,
  shortReference: 19,
  reference: 20,
  longReference: 24,
  wait: 10,
  longWait: 13,
  whole: 9,
  page: 1,
  tick: 6,
  tickNear: 2,
  tickHigher: 1,
  tickRest: 6,
  /** On top: asking the ready bit, each round of asking again, and asking the key at a step. */
  ready: 2,
  poll: 2,
  stop: 1,
} as const satisfies PlayerPaths & Record<string, number>;

export const UNIT_CYCLES_6502 = 8;
/** From asking the ready bit to writing the byte, in cycles. */
export const READY_TO_OUT_6502 = 12;
