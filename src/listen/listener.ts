import type { ListenState } from '../core/observe/listen-state.ts';
import type { Player } from '../engine/run/player.ts';

/** What to listen to, and what to do with it. */
export interface ListenOptions {
  /** An input as `openInput` reads it. */
  readonly from: string;
  /** An output that gets everything that one hears of it; see `mute` and `solo` among the commands. */
  readonly thru?: string;
  /** File that gets everything that came. */
  readonly recordPath?: string;
  /** Channels 0–15 that `thru` does not get the notes of, from the start. */
  readonly mute?: readonly number[];
  readonly solo?: readonly number[];
  /** Lets SysEx that is not universal pass to `thru`. */
  readonly allowSysEx?: boolean;
  /** A `TapRing`'s memory: everything that came, with its times, for whoever compares it. */
  readonly tap?: SharedArrayBuffer;
  /** Let `thru` write over a file that is there. */
  readonly replace?: boolean;
  /** Start although a device is not there yet. */
  readonly waitForDevice?: boolean;
  /** For `file:`: at the pace of its times (the default), or as fast as it goes under the same times. */
  readonly pace?: 'wire' | 'at-once';
}

/** Links to devices that another thread keeps: `KeptInput.link` and `KeptOutput.link`. */
export interface ListenLinks {
  readonly from?: SharedArrayBuffer | undefined;
  readonly thru?: SharedArrayBuffer | undefined;
}

/**
 * An input being listened to. It has the shape of a player, so that the same screen shows it: `observed` is
 * what came in. Of the commands it obeys mute, solo, the silences and quit.
 */
export interface Listener extends Player {
  readonly listen: ListenState;
}
