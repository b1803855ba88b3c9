import type { Instrument } from '../../instrument/instrument.ts';
import { reachedInstrument } from '../../instrument/orchestra.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { columnsOfChannels } from '../columns-of-channels.ts';
import { type FitOptions, type FittedColumns, fitColumns, TICK_LOSS_PERCENT } from './fit-columns.ts';
import { type FitMarks, marksFor } from './fit-marks.ts';
import { FitJudge, type FitMeasure } from './fit-measure.ts';
import type { SongEnd } from './row-edits.ts';

/** An instrument and what goes to it. */
export interface FitSeat {
  /** As `--map` calls its port; undefined where one instrument is behind all channels. */
  readonly port: string | undefined;
  readonly instrument: Instrument;
  /** 0–15, ascending. */
  readonly channels: readonly number[];
}

/** What goes to one instrument, made to fit it. */
export interface SeatFit {
  readonly seat: FitSeat;
  /** As it goes there unfitted, and [rows] which rows of the song those are. */
  readonly written: TimelineColumns;
  readonly rowOf: Uint32Array;
  readonly fitted: FittedColumns;
  readonly judge: FitJudge;
  readonly before: FitMeasure;
  readonly after: FitMeasure;
}

const WAYS = [
  { partsBy: 'notes', planVoices: true },
  { partsBy: 'worth', planVoices: true },
  { partsBy: 'none', planVoices: true },
  { partsBy: 'none', planVoices: false },
] as const;

/**
 * Played into an instrument that does as this one does, the result is never worse than what was written: where
 * planning has nothing to gain it is left alone.
 * @param song columns of the whole song @param songMarks of the whole song
 */
export function fitSeat(
  seat: FitSeat,
  song: TimelineColumns,
  end: SongEnd,
  songMarks: FitMarks,
  { keep, keptResets }: Pick<FitOptions, 'keep' | 'keptResets'>,
): SeatFit {
  const { columns: written, rowOf } = columnsOfChannels(song, seat.channels);
  const instrument = reachedInstrument(seat);
  const marks = marksFor(songMarks, seat.channels);
  const judge = new FitJudge(written, end, instrument, marks);
  const before = judge.measure(written, asTheyAre(written.count), marks);
  let best: { readonly fitted: FittedColumns; readonly after: FitMeasure } | undefined;
  // The first that is not worse, or else the least bad; the last gives the instrument only what it can be told, and
  // no note is moved.
  for (const way of WAYS) {
    const fitted = fitColumns(written, end, instrument, { keep, marks, keptResets, ...way });
    const after = judge.measure(fitted.columns, fitted.origin, fitted.marks);
    if (best === undefined || after.lossPercent < best.after.lossPercent) best = { fitted, after };
    if (after.lossPercent <= before.lossPercent + TICK_LOSS_PERCENT) break;
  }
  if (best === undefined) throw new Error('there is no way to fit');
  return { seat, written, rowOf, judge, before, ...best };
}

function asTheyAre(count: number): Uint32Array {
  return Uint32Array.from({ length: count }, (_, row) => row);
}
