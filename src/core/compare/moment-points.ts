import type { HeardMusic } from './heard-music.ts';
import type { WrittenMusic } from './written-music.ts';

/** Pairs beyond this number say nothing more about a line. */
const MOST_POINTS = 6000;
/** The first note of each moment that was heard: those behind it wait for the wire. */
export function momentPoints(
  times: Float64Array,
  written: WrittenMusic,
  heard: HeardMusic,
  heardOf: Int32Array,
): { x: Float64Array; y: Float64Array; notes: Uint32Array } {
  const firsts = new Uint32Array(written.count);
  let count = 0;
  let moment = -1;
  for (let note = 0; note < written.count; note += 1) {
    const found = heardOf[note]!;
    if (found < 0) continue;
    if (written.moment[note] !== moment) {
      firsts[count] = note;
      count += 1;
    } else if (heard.on.micros[found]! < heard.on.micros[heardOf[firsts[count - 1]!]!]!)
      firsts[count - 1] = note;
    moment = written.moment[note]!;
  }
  const step = Math.max(1, Math.ceil(count / MOST_POINTS));
  const notes = new Uint32Array(Math.ceil(count / step));
  const x = new Float64Array(notes.length);
  const y = new Float64Array(notes.length);
  for (let n = 0; n < notes.length; n += 1) {
    const note = firsts[n * step]!;
    notes[n] = note;
    x[n] = times[note]!;
    y[n] = heard.on.micros[heardOf[note]!]!;
  }
  return { notes, x, y };
}
