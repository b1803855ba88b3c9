import { createObservedState } from '../../core/observe/create-observed-state.ts';
import type { ObservedState } from '../../core/observe/observed-state.ts';
import { PortSlot, PortTrouble } from '../../core/observe/port-state.ts';
import type { WireOutlet } from '../lane/wire-outlet.ts';
import { restlessChannels, silenceSeen } from './last-silence.ts';
import type { LeftBehind, OutputSpec } from './player-options.ts';

/** @param before what this run was told of in turn: kept for a port that it did not find either */
export function leftBehind(
  observed: ObservedState,
  outputs: readonly Pick<OutputSpec, 'channels'>[],
  before: readonly LeftBehind[] = [],
): LeftBehind[] {
  let lost = 0;
  for (const [index, { channels }] of outputs.entries()) {
    if (observed.ports[index]!.numbers[PortSlot.trouble] !== PortTrouble.lost) continue;
    lost |= channels === undefined ? 0xffff : channels.reduce((bits, channel) => bits | (1 << channel), 0);
  }
  const restless = restlessChannels(observed) & lost;
  const untold = observed.messages.reduce(
    (bits, count, channel) => (count === 0 ? bits | (1 << channel) : bits),
    0,
  );
  const kept = before.map((each) => ({ ...each, channels: each.channels & lost & untold }));
  return [...kept, { observed: observed.buffer, channels: restless }].filter(
    ({ channels }) => channels !== 0,
  );
}

/** Brings to rest what earlier runs left behind, as their ports come. */
export class EarlierRuns {
  readonly #left: { readonly observed: ObservedState; channels: number }[];

  constructor(left: readonly LeftBehind[] = []) {
    this.#left = left.map(({ observed, channels }) => ({
      observed: createObservedState(observed),
      channels,
    }));
  }

  /** @param reached bits of the channels whose ports may be there; those that prove to be are done with */
  settle(outlet: WireOutlet, reached: number, now: number): void {
    for (const each of this.#left) {
      const channels = each.channels & reached;
      if (channels === 0) continue;
      silenceSeen(each.observed, outlet, channels, now);
      outlet.pump();
      each.channels &= ~channels | outlet.lostChannels();
    }
  }
}
