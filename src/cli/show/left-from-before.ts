import { leftBehind } from '../../engine/run/left-behind.ts';
import type { Player } from '../../engine/run/player.ts';
import type { LeftBehind, PlayerOptions } from '../../engine/run/player-options.ts';

/** Hands on, from song to song of a show, what could not be brought to rest since a port was gone as the song ended. */
export class LeftFromBefore {
  #left: readonly LeftBehind[] = [];

  with(options: PlayerOptions): PlayerOptions {
    return this.#left.length === 0 ? options : { ...options, leftBehind: this.#left };
  }

  ended({ observed }: Pick<Player, 'observed'>, { outputs }: PlayerOptions): void {
    this.#left = leftBehind(observed, outputs, this.#left);
  }
}
