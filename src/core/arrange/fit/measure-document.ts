import type { FitMeasure } from './fit-measure.ts';
import type { SeatFit } from './fit-seat.ts';

/** How a song fares on one instrument, or on several together, as `fit --json` has it. */
export interface MeasureDocument {
  readonly notes: number;
  readonly notesCut: number;
  readonly lossPercent: number;
  readonly mostVoices: number;
  readonly parts: number;
}

/** Voices and parts of several instruments are added up: so many have to be there in all. */
export function totalMeasure(seats: readonly SeatFit[], when: 'before' | 'after'): MeasureDocument {
  const sum = (of: (measure: FitMeasure) => number) => seats.reduce((all, fit) => all + of(fit[when]), 0);
  return {
    notes: sum(({ notes }) => notes),
    notesCut: sum(({ notesCut }) => notesCut),
    lossPercent: rounded(lossPercent(seats, when)),
    mostVoices: sum(({ mostVoices }) => mostVoices),
    parts: sum(({ parts }) => parts),
  };
}

/** What is lost of the whole song, in percent of what is worth hearing in it. */
export function lossPercent(seats: readonly SeatFit[], when: 'before' | 'after'): number {
  const total = (values: Float64Array) => values.reduce((sum, one) => sum + one, 0);
  const worth = seats.reduce((sum, { judge }) => sum + total(judge.worth), 0);
  const lost = seats.reduce((sum, fit) => sum + total(fit[when].lost), 0);
  return worth > 0 ? (100 * lost) / worth : 0;
}

/** Of the notes that are no drums; 100 where there are none. */
export function keptProgramPercent(seats: readonly SeatFit[]): number {
  let melodic = 0;
  let kept = 0;
  for (const { fitted, judge } of seats) {
    const { count, drum, onRow } = judge.notes;
    for (let note = 0; note < count; note += 1) {
      if (drum[note]) continue;
      melodic += 1;
      kept += fitted.keepsProgram[onRow[note]!]!;
    }
  }
  return melodic > 0 ? rounded((100 * kept) / melodic) : 100;
}

function rounded(percent: number): number {
  return Math.round(percent * 1e4) / 1e4;
}
