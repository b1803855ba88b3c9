import type { ListenState } from '../core/observe/listen-state.ts';
import type { ObservedState } from '../core/observe/observed-state.ts';
import type { RunClock } from '../engine/clock/run-clock.ts';
import type { VirtualClock } from '../engine/clock/virtual-clock.ts';
import type { Recording } from '../files/recording.ts';
import type { InputPort } from '../ports/input-port.ts';
import type { TapRing } from '../ports/tap-ring.ts';
import type { ThruPath } from './thru-path.ts';

/** What `startListener` has opened. */
export interface ListenParts {
  readonly observed: ObservedState;
  readonly listen: ListenState;
  readonly clock: RunClock | VirtualClock;
  readonly input: InputPort;
  readonly recording: Recording | undefined;
  readonly thru: ThruPath | undefined;
  /** Where bytes go that somebody compares. */
  readonly tap: TapRing | undefined;
  /** What keeps the devices, where that is this thread. */
  readonly keeper: { close(): Promise<void> } | undefined;
}
