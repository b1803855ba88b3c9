import type { Instrument } from '../../instrument/instrument.ts';
import { reachedInstrument } from '../../instrument/orchestra.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { columnsOfChannels } from '../columns-of-channels.ts';
import { type FitOptions, type FittedColumns, fitColumns, TICK_LOSS_PERCENT } from './fit-columns.ts';
import type { FitMarks } from './fit-marks.ts';
import { FitJudge, type FitMeasure, type SongAsSent } from './fit-measure.ts';
import { NOTHING_SAID } from './fit-messages.ts';
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

interface Judged extends Pick<SeatFit, 'fitted' | 'judge' | 'before' | 'after'> {
  /** Percent that it loses more than what was written. */
  readonly loses: number;
}

const WAYS = [
  { partsBy: 'notes', planVoices: true },
  { partsBy: 'worth', planVoices: true },
  { partsBy: 'notes', planVoices: true, keep: 1 },
  { partsBy: 'none', planVoices: true },
  { partsBy: 'none', planVoices: false },
] as const;

/**
 * Played into an instrument that does as this one does, the result is never worse than what was written: where
 * planning has nothing to gain it is left alone.
 * @param song columns of the whole song @param marks of the whole song
 */
export function fitSeat(
  seat: FitSeat,
  song: TimelineColumns,
  end: SongEnd,
  marks: FitMarks,
  { keep, keptResets }: Pick<FitOptions, 'keep' | 'keptResets'>,
): SeatFit {
  const { columns: written, rowOf } = columnsOfChannels(song, seat.channels);
  const instrument = reachedInstrument(seat);
  const asWritten = { columns: written, origin: asTheyAre(written.count), marks };
  let best: Judged | undefined;
  // The first that is not worse, or else the least bad; the last gives the instrument only what it can be told, and
  // no note is moved.
  for (const way of WAYS) {
    const fitted = fitColumns(written, end, instrument, { keep, marks, keptResets, ...way });
    const judge = new FitJudge(written, end, instrument, marks, fitted.unplanned);
    const before = judge.measure(asWritten);
    const after = judge.measure(fitted);
    const loses = after.lossPercent - before.lossPercent;
    if (best === undefined || loses < best.loses) best = { fitted, judge, before, after, loses };
    if (loses <= TICK_LOSS_PERCENT) break;
  }
  if (best === undefined) throw new Error('there is no way to fit');
  const { fitted, judge, before, after } =
    best.loses > TICK_LOSS_PERCENT ? leftAlone(asWritten, best.fitted, end, instrument) : best;
  return { seat, written, rowOf, fitted, judge, before, after };
}

/** Whatever is done loses more than is gained. */
function leftAlone(
  asWritten: SongAsSent,
  { programs }: FittedColumns,
  end: SongEnd,
  instrument: Instrument,
): Omit<Judged, 'loses'> {
  const judge = new FitJudge(asWritten.columns, end, instrument, asWritten.marks);
  const before = judge.measure(asWritten);
  const fitted: FittedColumns = {
    ...asWritten,
    unplanned: { ...asWritten, judge },
    programs: { moves: [], keeps: programs.keeps, banksDropped: 0, putIn: [] },
    drumKeys: { moves: [], withoutSound: [], withoutDrums: [] },
    keys: { moves: [], withoutKey: [], keyTaken: [] },
    messages: NOTHING_SAID,
    parts: undefined,
    keepsProgram: programs.keeps,
    withoutVoice: [],
    shortened: [],
    pedalsWrittenOut: [],
  };
  return { fitted, judge, before, after: before };
}

function asTheyAre(count: number): Uint32Array {
  return Uint32Array.from({ length: count }, (_, row) => row);
}
