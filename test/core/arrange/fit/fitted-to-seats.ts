import type { FitSeat } from '../../../../src/core/arrange/fit/fit-seat.ts';
import { fitOrchestra } from '../../../../src/core/arrange/fit/fit-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';

/** A song fitted to several instruments, and the file that it becomes. */
export function fitted(bytes: Uint8Array, seats: readonly FitSeat[], keep = 2) {
  const song = readSong(bytes);
  const timeline = buildTimeline(song);
  const fit = fitOrchestra(song, timeline, seats, keep);
  return { timeline, fit, bytes: fit.song === undefined ? bytes : writeSong(fit.song) };
}

export const columnsIn = (bytes: Uint8Array): TimelineColumns => buildTimeline(readSong(bytes)).columns;

/** What stands in the rows, as far as a file has it. */
export function messagesOf(columns: TimelineColumns): number[][] {
  return Array.from({ length: columns.count }, (_, row) => [
    columns.tick[row]!,
    columns.track[row]!,
    columns.status[row]!,
    columns.data1[row]!,
    columns.data2[row]!,
  ]);
}
