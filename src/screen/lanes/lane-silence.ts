import type { Instrument } from '../../core/instrument/instrument.ts';
import type { Orchestra } from '../../core/instrument/orchestra.ts';
import { isDrumChannel } from '../../core/instrument/sound-names.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';

/**
 * Why the instrument cannot play what is sent on a channel, in a few words; undefined where it can. Of more parts
 * than it has, those of the lower channels are taken to be its own.
 */
export function whySilent(
  observed: ObservedState,
  channel: number,
  orchestra: Orchestra,
): string | undefined {
  const instrument = orchestra[channel]!;
  if (!instrument.channels.includes(channel)) return 'not heard';
  if (isDrumChannel(instrument, channel) || instrument.parts >= instrument.channels.length) return undefined;
  const parts = new Set<number>();
  for (const other of instrument.channels) {
    if (other > channel || orchestra[other] !== instrument || !hasPart(observed, other, instrument)) continue;
    const part = partOf(observed, other);
    if (other === channel)
      return parts.has(part) || parts.size < instrument.parts ? undefined : 'no part left';
    parts.add(part);
  }
  return undefined;
}

function hasPart(observed: ObservedState, channel: number, instrument: Instrument): boolean {
  return observed.noteOns[channel]! > 0 && !isDrumChannel(instrument, channel);
}

/** Bank and program as one number; channels that have both alike share a part. */
function partOf(observed: ObservedState, channel: number): number {
  const program = observed.program[channel]!;
  const bank = observed.bankMsb[channel]! * 256 + observed.bankLsb[channel]!;
  return bank * 256 + (program === NEVER_SEEN ? 0 : program);
}
