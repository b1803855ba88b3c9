import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';
import { heardValue } from './heard-value.ts';
import type { NoteWeights } from './note-weights.ts';

/** The share (0–1) of what is worth hearing that is not heard. @param untilMicros [notes] how far each is heard */
export function lossOf(
  columns: TimelineColumns,
  durationMicros: number,
  notes: HeardNotes,
  { weight, decay }: NoteWeights,
  untilMicros: Float64Array,
): number {
  const { micros, count } = columns;
  let all = 0;
  let lost = 0;
  for (let note = 0; note < notes.count; note += 1) {
    const on = micros[notes.onRow[note]!]!;
    const end = notes.endRow[note]!;
    const whole = ((end < count ? micros[end]! : durationMicros) - on) / 1e6;
    const heard = (untilMicros[note]! - on) / 1e6;
    const value = weight[note]! * heardValue(whole, whole, decay[note]!);
    all += value;
    if (heard < whole) lost += value - weight[note]! * heardValue(Math.max(0, heard), whole, decay[note]!);
  }
  return all > 0 ? lost / all : 0;
}
