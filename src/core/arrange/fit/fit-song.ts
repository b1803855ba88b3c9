import type { Instrument } from '../../instrument/instrument.ts';
import { songDrumChannels, withSongDrums } from '../../instrument/song-drums.ts';
import type { WritableSong } from '../../smf/file-event.ts';
import { Meta } from '../../smf/meta-kinds.ts';
import type { Song } from '../../smf/song.ts';
import type { Timeline } from '../../timeline/timeline.ts';
import { type FittedColumns, fitColumns, TICK_LOSS_PERCENT } from './fit-columns.ts';
import { type FitMarks, GENERAL_MARKS, marksOf } from './fit-marks.ts';
import { FitJudge, type FitMeasure } from './fit-measure.ts';
import { fittedSong } from './fitted-song.ts';

/** Enough that songs at hand lose no beat and no note of the melody at 16 voices (npm run bench -- fit). */
export const DEFAULT_KEEP = 2;

const WAYS = [
  { partsBy: 'notes', planVoices: true },
  { partsBy: 'worth', planVoices: true },
  { partsBy: 'none', planVoices: true },
  { partsBy: 'none', planVoices: false },
] as const;

/** A song made to fit an instrument. */
export interface SongFit {
  /** Undefined where nothing had to be changed: the song is as good as it can be. */
  readonly song: WritableSong | undefined;
  readonly fitted: FittedColumns;
  readonly judge: FitJudge;
  readonly before: FitMeasure;
  readonly after: FitMeasure;
}

/**
 * Song → song. Played into an instrument that does as this one does, the result is never worse than the song: where
 * planning has nothing to gain it is left alone. Pure; the song is not changed.
 * @param keep by how much melody and beat count for more when voices are short
 */
export function fitSong(song: Song, timeline: Timeline, given: Instrument, keep: number): SongFit {
  const { columns } = timeline;
  const drumChannels = songDrumChannels(columns);
  const instrument = withSongDrums(given, drumChannels);
  const end = {
    tick: timeline.endTick,
    micros: timeline.durationMicros,
    microsAt: timeline.tempoMap.microsAt,
  };
  const marks = marksIn(song) ?? { ...GENERAL_MARKS, drumChannels };
  const judge = new FitJudge(columns, end, instrument, marks);
  const before = judge.measure(columns, asTheyAre(columns.count), marks);
  let best: { readonly fitted: FittedColumns; readonly after: FitMeasure } | undefined;
  // The first that is not worse, or else the least bad; the last gives the instrument only what it can be told, and
  // no note is moved.
  for (const way of WAYS) {
    const fitted = fitColumns(columns, end, instrument, { keep, marks, ...way });
    const after = judge.measure(fitted.columns, fitted.origin, fitted.marks);
    if (best === undefined || after.lossPercent < best.after.lossPercent) best = { fitted, after };
    if (after.lossPercent <= before.lossPercent + TICK_LOSS_PERCENT) break;
  }
  if (best === undefined) throw new Error('there is no way to fit');
  const { fitted, after } = best;
  const isChanged = fitted.columns !== columns;
  return {
    song: isChanged ? fittedSong(song, timeline, fitted.columns, fitted.marks) : undefined,
    fitted,
    judge,
    before,
    after,
  };
}

function asTheyAre(count: number): Uint32Array {
  return Uint32Array.from({ length: count }, (_, row) => row);
}

/** What an earlier fit wrote into the song; undefined where none did. */
function marksIn({ events, payloads, bytes }: Song): FitMarks | undefined {
  for (let row = events.status.indexOf(0xff); row >= 0; row = events.status.indexOf(0xff, row + 1)) {
    if (events.data1[row] !== Meta.text) continue;
    const payload = events.payload[row]!;
    const start = payloads.start[payload]!;
    const text = String.fromCharCode(
      ...bytes.subarray(start, start + Math.min(120, payloads.length[payload]!)),
    );
    const marks = marksOf(text);
    if (marks !== undefined) return marks;
  }
  return undefined;
}
