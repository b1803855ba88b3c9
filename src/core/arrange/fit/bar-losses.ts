import type { Timeline } from '../../timeline/timeline.ts';
import type { SeatFit } from './fit-seat.ts';

/** What is lost of one bar, in percent of what is worth hearing in it, before and after the fit. */
export interface BarLoss {
  readonly bar: number;
  readonly before: number;
  readonly after: number;
}

/** Bars in which anything is lost, a note counted where it begins; of all instruments together. */
export function barLosses({ meterMap }: Timeline, seats: readonly SeatFit[]): BarLoss[] {
  const sums = new Map<number, { all: number; was: number; is: number }>();
  for (const { written, judge, before, after } of seats) {
    const { notes, worth } = judge;
    for (let from = 0; from < notes.count; ) {
      const { bar } = meterMap.barBeatAt(written.tick[notes.onRow[from]!]!);
      const next = meterMap.tickOf(bar + 1);
      const sum = sums.get(bar) ?? { all: 0, was: 0, is: 0 };
      sums.set(bar, sum);
      let to = from;
      while (to < notes.count && (to === from || written.tick[notes.onRow[to]!]! < next)) {
        sum.all += worth[to]!;
        sum.was += before.lost[to]!;
        sum.is += after.lost[to]!;
        to += 1;
      }
      from = to;
    }
  }
  return [...sums]
    .filter(([, { all, was, is }]) => was + is > 0 && all > 0)
    .sort(([a], [b]) => a - b)
    .map(([bar, { all, was, is }]) => ({ bar, before: percent(was, all), after: percent(is, all) }));
}

function percent(part: number, all: number): number {
  return Math.round((1e4 * part) / all) / 100;
}
