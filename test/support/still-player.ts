import type { ObservedState } from '../../src/core/observe/observed-state.ts';
import type { Command } from '../../src/core/schedule/command.ts';
import type { Player, PlayerEnd } from '../../src/engine/run/player.ts';

/** A player that stands still at one moment and writes down what it is told. */
export interface StillPlayer extends Player {
  readonly told: Command[];
  now: number;
  end(end: PlayerEnd): void;
}

export function stillPlayer(observed: ObservedState, nowMicros: number): StillPlayer {
  const told: Command[] = [];
  let settle: (end: PlayerEnd) => void = () => {};
  const ended = new Promise<PlayerEnd>((resolve) => {
    settle = resolve;
  });
  return {
    observed,
    told,
    troubles: [],
    now: nowMicros,
    ended,
    nowMicros() {
      return this.now;
    },
    send: (command) => {
      told.push(command);
    },
    end: (end) => settle(end),
    close: async () => {},
  };
}
