import type { ThreadTrouble } from '../trouble/thread-trouble.ts';
/** What the hearing thread is started with, and what goes either way between the threads. */
export interface HearWork {
  readonly from: string;
  readonly link: SharedArrayBuffer | undefined;
  readonly originNanos: number;
  /** Bytes that are kept; what comes beyond them is counted. */
  readonly room: number;
  /** Of `HearBoard`. */
  readonly board: SharedArrayBuffer;
}

export type FromHearing =
  | { readonly kind: 'ready' }
  | { readonly kind: 'thread'; readonly thread: number }
  | ThreadTrouble
  | {
      readonly kind: 'heard';
      readonly bytes: Uint8Array;
      readonly chunkEnd: Uint32Array;
      readonly chunkMicros: Float64Array;
      readonly unkept: number;
    };

/** How the hearing goes, in shared memory: read while the other thread stamps. */
export const HearBoard = { bytes: 0, isLost: 1, isEnded: 2, length: 3 } as const;
