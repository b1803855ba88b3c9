import type { SongWishes } from '../../core/arrange/fit/song-wishes.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { isDrumChannel, lanesSoundName, soundName } from '../../core/instrument/sound-names.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';

/** Program (0–127) that a channel plays: the person's own choice, or the last one seen; undefined for none. */
export function laneProgram(observed: ObservedState, channel: number): number | undefined {
  const own = observed.programOverride[channel]!;
  if (own >= 0) return own;
  const seen = observed.program[channel]!;
  return seen === NEVER_SEEN ? undefined : seen;
}

/**
 * What plays on a lane by the instrument's own name, with what the song wished for where it differs; the kit on a
 * channel with drums; nothing while nothing was sent.
 * @param wishes of a song that was fitted, whose programs are the instrument's
 */
export function laneName(
  observed: ObservedState,
  channel: number,
  instrument: Instrument,
  wishes?: SongWishes,
): string {
  if (observed.messages[channel] === 0) return '';
  const program = laneProgram(observed, channel);
  if (program === undefined && !isDrumChannel(instrument, channel)) {
    // Silencing and chasing say something on every channel; that alone makes no lane speak. A General MIDI module
    // starts with program 1 on every channel, but no one said so.
    return observed.noteOns[channel]! + observed.heldBack[channel]! > 0 ? '(no program sent)' : '';
  }
  const bank = (seen: number) => (seen === NEVER_SEEN ? -1 : seen);
  const [msb, lsb] = [bank(observed.bankMsb[channel]!), bank(observed.bankLsb[channel]!)];
  const bankNow = (Math.max(0, msb) << 7) | Math.max(0, lsb);
  const wished = wishes?.nameOf(channel, bankNow, program ?? 0);
  return lanesSoundName(instrument, channel, msb, lsb, program ?? 0, wished);
}

/** Names of the sounding keys from the lowest up, as many as fit whole. */
export function soundingNames(
  observed: ObservedState,
  channel: number,
  width: number,
  instrument: Instrument,
): string {
  const between = isDrumChannel(instrument, channel) ? ', ' : ' ';
  let text = '';
  for (let key = 0; key < 128; key += 1) {
    if (observed.strikes[channel * 128 + key] === 0) continue;
    const name = soundName(instrument, channel, key);
    const next = text === '' ? name : `${text}${between}${name}`;
    if (next.length > width) return text;
    text = next;
  }
  return text;
}
