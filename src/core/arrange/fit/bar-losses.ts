import type { Timeline } from '../../timeline/timeline.ts';
import type { FitJudge, FitMeasure } from './fit-measure.ts';

/** What is lost of one bar, in percent of what is worth hearing in it, before and after the fit. */
export interface BarLoss {
  readonly bar: number;
  readonly before: number;
  readonly after: number;
}

/** Bars in which anything is lost, a note counted where it begins. */
export function barLosses(
  { columns, meterMap }: Timeline,
  { notes, worth }: FitJudge,
  before: FitMeasure,
  after: FitMeasure,
): BarLoss[] {
  const losses: BarLoss[] = [];
  for (let from = 0; from < notes.count; ) {
    const { bar } = meterMap.barBeatAt(columns.tick[notes.onRow[from]!]!);
    const next = meterMap.tickOf(bar + 1);
    let all = 0;
    let was = 0;
    let is = 0;
    let to = from;
    while (to < notes.count && (to === from || columns.tick[notes.onRow[to]!]! < next)) {
      all += worth[to]!;
      was += before.lost[to]!;
      is += after.lost[to]!;
      to += 1;
    }
    if (was + is > 0 && all > 0) losses.push({ bar, before: percent(was, all), after: percent(is, all) });
    from = to;
  }
  return losses;
}

function percent(part: number, all: number): number {
  return Math.round((1e4 * part) / all) / 100;
}
