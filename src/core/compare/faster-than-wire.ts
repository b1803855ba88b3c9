import type { HeardMusic } from './heard-music.ts';
import { MICROS_PER_BYTE } from './heard-stream.ts';

/** What came through no wire, as from a pipe or a driver that hands over all it has: its stamps say when it was read. */
export function isFasterThanAnyWire({ on: { count, micros }, bytes }: HeardMusic): boolean {
  if (count < FEWEST_NOTES) return false;
  const span =
    micros.reduce((most, at) => Math.max(most, at), 0) -
    micros.reduce((least, at) => Math.min(least, at), Infinity);
  // A log writes every status; a wire may have left out a third of the bytes.
  return span < 0.5 * bytes * MICROS_PER_BYTE;
}

/** With fewer, a chord is all there is. */
const FEWEST_NOTES = 12;
const MESSAGE_BYTES = 3;

/** The same with the order for a time, as if the wire had carried it. */
export function inOrderAlone(heard: HeardMusic): HeardMusic {
  const micros = Float64Array.from(heard.on.message, (before) => before * MESSAGE_BYTES * MICROS_PER_BYTE);
  return { ...heard, hasTimes: false, on: { ...heard.on, micros } };
}
