import type { Player } from '../../engine/run/player.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import type { SongSet } from '../options/song-set.ts';
import type { TakenTerminal } from '../take-terminal.ts';
import type { RunInputs } from './inputs.ts';
import type { PlayIntent } from './intend-play.ts';

/** What is playing now; the ways out and the terminal's events need to reach it. */
export interface Show {
  player: Player | undefined;
  /** It was playing when the process was stopped by job control. */
  resume: boolean;
}

/** A run on the screen whose first song is shown already. */
export interface ScreenRun {
  readonly set: SongSet;
  readonly flags: PlayFlags;
  /** The first song and what is to be done with it. */
  readonly intent: PlayIntent;
  readonly show: Show;
  readonly taken: TakenTerminal;
  readonly inputs: RunInputs | undefined;
}
