import type { PlayFlags } from '../../../src/cli/options/play-flags.ts';

/** What the command line gives when nothing is asked for. */
export const FLAGS: PlayFlags = {
  port: ['mock'],
  plan: 'packed',
  clock: 'real',
  tempo: 100,
  volume: 100,
  transpose: 0,
  countIn: 0,
  settle: 100,
  early: 0,
  setupFirst: true,
  onPortLoss: 'continue',
  onClockLoss: 'continue',
  stuckAfter: 10,
};
