import type { Instrument } from '../../instrument/instrument.ts';
import { partChannels } from './fit-parts.ts';
import type { HeardNotes } from './heard-notes.ts';
import { LEFT_OUT, OWN_END } from './played-notes.ts';

/**
 * Notes that an instrument does not sound whatever voices it has: on channels it does not hear or has no part for
 * (those of lower number get theirs first), keys out of its range, drums elsewhere than it plays them.
 * @returns [notes] LEFT_OUT for those, OWN_END for the others
 */
export function unheardNotes(notes: HeardNotes, instrument: Instrument): Uint32Array {
  const { drums, keys } = instrument;
  const melodic = hearing(notes, instrument);
  const endOf = new Uint32Array(notes.count).fill(OWN_END);
  for (let note = 0; note < notes.count; note += 1) {
    const channel = notes.channel[note]!;
    const key = notes.key[note]!;
    const isHeard = notes.drum[note]
      ? drums.channels.includes(channel) && (drums.keys.size === 0 || drums.keys.has(key))
      : melodic[channel] === 1 && key >= keys.low && key <= keys.high;
    if (!isHeard) endOf[note] = LEFT_OUT;
  }
  return endOf;
}

function hearing(notes: HeardNotes, instrument: Instrument): Uint8Array {
  const { all, count } = partChannels(instrument);
  const played = new Uint8Array(16);
  for (let note = 0; note < notes.count; note += 1) if (!notes.drum[note]) played[notes.channel[note]!] = 1;
  const melodic = new Uint8Array(16);
  for (const channel of all.filter((channel) => played[channel]).slice(0, count)) melodic[channel] = 1;
  return melodic;
}
