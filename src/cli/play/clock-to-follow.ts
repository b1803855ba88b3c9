import { ClockInput } from '../../core/follow/follow-state.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { Transport } from '../../core/schedule/transport-board.ts';
import { clockMicrosOf } from '../../core/timeline/clock-pulses.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import type { PlayerOptions } from '../../engine/run/player-options.ts';
import { type FollowedClock, hearClock, readClock } from '../../follow/followed-clock.ts';
import { portNamed } from '../../ports/port-named.ts';
import { barBeatText } from '../../screen/format/moment.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { outputThatIs, refuseEcho } from './refuse-echo.ts';

type ClockFlags = Pick<PlayFlags, 'follow' | 'onClockLoss' | 'clock'> & { readonly wait?: boolean };

/** @throws Refusal where flags ask for what only the clock that is followed can say, or for its own bytes again */
export function refuseToFollow(flags: PlayFlags): void {
  const { follow, port } = flags;
  if (follow === undefined) return;
  const against =
    flags.tempo !== 100
      ? '--tempo'
      : flags.loop !== undefined
        ? '--loop'
        : flags.countIn > 0
          ? '--count-in'
          : '';
  if (against !== '') {
    const what = 'the clock that is followed says when and how fast the music goes';
    throw new Refusal(what, against, `leave out ${against} or --follow`);
  }
  const both = outputThatIs(follow, port);
  if (both !== undefined && flags.sync) {
    const what = 'the clock would be sent back to where it comes from';
    throw new Refusal(what, both, 'leave out --sync, or send to another port');
  }
  refuseEcho(follow, port);
}

/**
 * Opens the clock that the flags ask to follow.
 * @throws Refusal when it cannot be opened, or cannot be known beforehand as the virtual clock needs it
 */
export async function clockToFollow(flags: ClockFlags): Promise<FollowedClock | undefined> {
  if (flags.follow === undefined) return undefined;
  if (flags.clock === 'virtual') {
    if (portNamed(flags.follow)?.kind.name === 'file') return readClock(flags.follow, flags.onClockLoss);
    const what = 'the virtual clock does not wait for what is still to come';
    throw new Refusal(what, `--follow ${flags.follow}`, 'name a record of clock bytes: --follow file:<path>');
  }
  return hearClock(flags.follow, { onLost: flags.onClockLoss, waitForDevice: flags.wait ?? false });
}

/** Gives its input back, and tells what went wrong with it. */
export async function closeClock(clock: FollowedClock | undefined): Promise<void> {
  await clock?.close();
  for (const trouble of clock?.troubles ?? []) process.stderr.write(`wirepit: ${trouble}\n`);
}

/** A song's options, with the clock to follow where there is one. */
export function followingOptions(
  options: PlayerOptions,
  timeline: Timeline,
  clock: FollowedClock | undefined,
): PlayerOptions {
  return clock === undefined ? options : { ...options, follow: clock.request(clockMicrosOf(timeline)) };
}

/** One line for standard error where a run ended because nothing more of its clock can come; else undefined. */
export function clockEndedLine(
  follow: string | undefined,
  { numbers }: ObservedState,
  timeline: Timeline,
): string | undefined {
  if (follow === undefined || numbers[Slot.followInput] !== ClockInput.ended) return undefined;
  if (numbers[Slot.transport] === Transport.ended) return undefined;
  const where = barBeatText(timeline, Math.max(0, numbers[Slot.positionMicros]!));
  return `wirepit: nothing more comes from ${cleanText(follow)}, and the song stood at ${where}, so the run ended`;
}
