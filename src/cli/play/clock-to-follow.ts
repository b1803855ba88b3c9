import { ClockInput } from '../../core/follow/follow-state.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { Transport } from '../../core/schedule/transport-board.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import { portNamed } from '../../ports/port-named.ts';
import { barBeatText } from '../../screen/format/moment.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { outputThatIs, refuseEcho } from './refuse-echo.ts';

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

/** @throws Refusal where the clock cannot be known beforehand as the virtual clock needs it */
export function refuseUntimed({ follow, clock }: Pick<PlayFlags, 'follow' | 'clock'>): void {
  if (follow === undefined || clock !== 'virtual' || portNamed(follow)?.kind.name === 'file') return;
  const what = 'the virtual clock does not wait for what is still to come';
  throw new Refusal(what, `--follow ${follow}`, 'name a record of clock bytes: --follow file:<path>');
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
