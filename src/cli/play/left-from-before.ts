import { leftBehind } from '../../engine/run/left-behind.ts';
import type { Player } from '../../engine/run/player.ts';
import type { LeftBehind, PlayerOptions } from '../../engine/run/player-options.ts';

/**
 * Hands on, from song to song, what could not be brought to rest since a port was gone as the song ended. Only to a run
 * with the same outputs: the silence of another one, such as the mock wire meanwhile, reaches no instrument.
 */
export class LeftFromBefore {
  readonly #left = new Map<string, readonly LeftBehind[]>();

  with(options: PlayerOptions): PlayerOptions {
    const left = this.#left.get(outputsIn(options));
    return left === undefined ? options : { ...options, leftBehind: left };
  }

  ended({ observed }: Pick<Player, 'observed'>, options: PlayerOptions): void {
    const key = outputsIn(options);
    const left = leftBehind(observed, options.outputs, this.#left.get(key));
    if (left.length === 0) this.#left.delete(key);
    else this.#left.set(key, left);
  }
}

function outputsIn({ outputs }: PlayerOptions): string {
  return outputs.map(({ port, channels = [] }) => `${channels.join()}=${port}`).join('\n');
}
