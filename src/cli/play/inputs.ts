import { clockMicrosOf } from '../../core/timeline/clock-pulses.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import { type HeardInputs, hearInputs, readInputs } from '../../engine/input/heard-inputs.ts';
import type { PlayerOptions } from '../../engine/run/player-options.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { refuseUntimed } from './clock-to-follow.ts';
import { refuseToPlayAlong } from './play-along.ts';

type InputFlags = Pick<
  PlayFlags,
  'follow' | 'onClockLoss' | 'thruFrom' | 'thruChannel' | 'clock' | 'port'
> & {
  readonly wait?: boolean;
};

/** What is heard while songs are played, and how. */
export interface RunInputs extends HeardInputs {
  /** A song's options, with what it hears. */
  optionsOf(options: PlayerOptions, timeline: Timeline): PlayerOptions;
}

/**
 * Opens once, for all songs, what the flags ask to hear: the clock to follow, the keyboard of whoever plays along.
 * @throws Refusal when one cannot be opened, or cannot be known beforehand as the virtual clock needs it
 */
export async function openInputs(flags: InputFlags): Promise<RunInputs | undefined> {
  const { follow: clock, thruFrom: visitor, onClockLoss: onLost } = flags;
  if (clock === undefined && visitor === undefined) return undefined;
  refuseUntimed(flags);
  refuseToPlayAlong(flags);
  const names = { clock, visitor };
  const heard = await (flags.clock === 'virtual'
    ? readInputs(names)
    : hearInputs(names, flags.wait ?? false));
  const follow = (timeline: Timeline) => ({ follow: { pulseMicros: clockMicrosOf(timeline), onLost } });
  const optionsOf = (options: PlayerOptions, timeline: Timeline): PlayerOptions => ({
    ...options,
    inputs: heard.request,
    ...(clock === undefined ? {} : follow(timeline)),
  });
  return Object.assign(heard, { optionsOf });
}

/** Gives them back, and tells what went wrong with them. */
export async function closeInputs(inputs: RunInputs | undefined): Promise<void> {
  await inputs?.close();
  for (const trouble of inputs?.troubles ?? []) process.stderr.write(`wirepit: ${trouble}\n`);
}
