import { isNoteOn } from '../timeline/note-row.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { microsPerByte, type WireTraits } from './wire-traits.ts';

/**
 * The worst onset lateness that no plan without early notes can beat, in microseconds; and the root mean square of
 * that order of note-ons, which another order may well beat.
 */
export interface OnsetBound {
  readonly worstMicros: number;
  readonly worstSongMicros: number;
  readonly rmsMicros: number;
}

/**
 * The note-ons alone on the wire, in due order; at one moment grouped by channel, the channel whose status
 * the receiver holds first, with running status where the port lets us. It shares no code with the plan or
 * the model, so that it can judge both: bytes counted by hand, times added up.
 *
 * The order of channels is the one that is cheapest at this moment; another order may save a status byte at
 * the next (0.32 ms), never more.
 */
export function onsetBound(columns: TimelineColumns, traits: WireTraits): OnsetBound {
  const byte = microsPerByte(traits);
  const running = traits.runningStatus === 'ours';
  const notesOn = new Uint32Array(16);
  let heldChannel = -1;
  let free = Number.NEGATIVE_INFINITY;
  let worstMicros = 0;
  let worstSongMicros = 0;
  let squares = 0;
  let onsets = 0;

  const sendChannel = (channel: number, due: number) => {
    for (let n = notesOn[channel]!; n > 0; n -= 1) {
      const bytes = running && heldChannel === channel ? 2 : 3;
      heldChannel = channel;
      const end = Math.max(free, due) + bytes * byte;
      free = end + traits.gapMicros;
      const lateness = end - due;
      squares += lateness * lateness;
      onsets += 1;
      if (lateness > worstMicros) {
        worstMicros = lateness;
        worstSongMicros = due;
      }
    }
    notesOn[channel] = 0;
  };

  let row = 0;
  while (row < columns.count) {
    const due = columns.micros[row]!;
    let used = 0;
    for (; row < columns.count && columns.micros[row] === due; row += 1) {
      if (!isNoteOn(columns, row)) continue;
      const channel = columns.status[row]! & 0x0f;
      notesOn[channel]! += 1;
      used |= 1 << channel;
    }
    if (heldChannel >= 0 && used & (1 << heldChannel)) sendChannel(heldChannel, due);
    for (let channel = 0; used >> channel !== 0; channel += 1) {
      if (used & (1 << channel)) sendChannel(channel, due);
    }
  }
  return { worstMicros, worstSongMicros, rmsMicros: onsets > 0 ? Math.sqrt(squares / onsets) : 0 };
}
