import type { ThreadTrouble } from '../../trouble/thread-trouble.ts';
import type { LaneSpec } from '../lane/open-lanes.ts';
import type { PlayerOptions } from './player-options.ts';

/** What the sending thread is told to do; the buffers are shared, the plan's columns too. */
export interface EngineWork {
  readonly options: PlayerOptions;
  readonly outputs: readonly LaneSpec[];
  readonly observed: SharedArrayBuffer;
  readonly ring: SharedArrayBuffer;
  readonly cell: SharedArrayBuffer;
}

/** What it says in return: which thread it is (see `askForRealTime`), once at the start, and once at the end. */
export type EngineReport =
  | { readonly kind: 'thread'; readonly thread: number }
  | { readonly kind: 'ready'; readonly originNanos: number }
  | { readonly kind: 'over'; readonly how: 'ended' | 'quit' }
  | ThreadTrouble;
