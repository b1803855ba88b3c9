import type { ComparisonDocument } from '../core/compare/comparison-document.ts';
import type { LiveView } from '../core/compare/live-view.ts';

/** What the comparing thread is started with, and what goes either way between the threads. */
export interface AgainstWork {
  readonly songPath: string;
  readonly songPort: number | undefined;
  readonly heardName: string;
  readonly withinMicros: number;
  /** A `TapRing`'s memory, which the listening thread fills. */
  readonly tap: SharedArrayBuffer;
}

/** Nothing more will come: judge the whole. */
export type ToAgainst = { readonly kind: 'over' };

export type FromAgainst =
  | { readonly kind: 'view'; readonly view: LiveView }
  | { readonly kind: 'whole'; readonly document: ComparisonDocument; readonly lost: number }
  | { readonly kind: 'fault'; readonly error: Error };
