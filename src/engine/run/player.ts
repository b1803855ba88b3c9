import type { ObservedState } from '../../core/observe/observed-state.ts';
import type { Command } from '../../core/schedule/command.ts';

/** How a run ended. */
export type PlayerEnd =
  | { readonly kind: 'ended' | 'quit' }
  | { readonly kind: 'fault'; readonly error: Error };

/**
 * A song being played: what the screen and the command line hold. Two makers return it: `startWorkerPlayer`
 * (own thread, real clock) and `runVirtualPlayer` (this thread, virtual clock); both drive the same scheduler.
 */
export interface Player {
  readonly observed: ObservedState;
  /** Run time in microseconds, on the same clock as every `...Micros` run time in `observed`. */
  nowMicros(): number;
  send(command: Command): void;
  /**
   * What went wrong beside the music, a sentence each without a full stop, in the order it happened: a record that
   * cannot be written, say. Grows; the last may come with the end of `close`.
   */
  readonly troubles: readonly string[];
  /** Settles when the song has ended or the player was told to quit, after silence was sent. Never rejects. */
  readonly ended: Promise<PlayerEnd>;
  /** Quits (with silence) and frees thread and port. May be called twice. */
  close(): Promise<void>;
}
