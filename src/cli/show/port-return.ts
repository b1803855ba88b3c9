import type { Command } from '../../core/schedule/command.ts';

/**
 * A song whose port was gone is begun anew when the port is back: to visitors half a song is none. Until then the
 * run itself is paused (`--on-port-loss pause`).
 */
export class PortReturn {
  #wasLost = false;

  readonly #startMicros: number;

  constructor(startMicros: number) {
    this.#startMicros = startMicros;
  }

  /** @param isLost whether a port of the song is gone now */
  look(isLost: boolean): readonly Command[] {
    const isBack = this.#wasLost && !isLost;
    this.#wasLost = isLost;
    return isBack ? [{ kind: 'seek', micros: this.#startMicros }, { kind: 'play' }] : [];
  }
}
