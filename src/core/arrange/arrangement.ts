import type { TimelineColumns } from '../timeline/timeline.ts';
import { excerptUpTo } from './excerpt.ts';
import { scaleVolume } from './scale-volume.ts';
import { type Reduction, thin } from './thin.ts';

/**
 * What is changed in a song before its plan is made. What a person changes while it plays (mute, solo, trims,
 * transposition) is no part of it: that acts in `schedule/`.
 */
export interface Arrangement {
  /** Leave out values closer than this, in steps of 128 (see `thin`); undefined: leave out nothing. */
  readonly tolerance?: number | undefined;
  /** The song ends here instead of where it is written to end. */
  readonly end?: { readonly micros: number; readonly tick: number } | undefined;
  /** Share of every channel's volume; 100 or undefined: as written. */
  readonly volumePercent?: number | undefined;
}

/** The song as it is written. */
export const AS_WRITTEN: Arrangement = {};

/** Columns as they will be planned, and what became of those written. */
export interface Arranged {
  readonly columns: TimelineColumns;
  /** How many rows thinning left out. */
  readonly dropped: number;
  /** By channel, message and reason. */
  readonly reductions: readonly Reduction[];
}

/** Columns → columns. Pure; those given are not changed, and are handed on where there is nothing to do. */
export function arrange(
  written: TimelineColumns,
  { tolerance, end, volumePercent = 100 }: Arrangement,
): Arranged {
  const excerpt = end === undefined ? written : excerptUpTo(written, end.micros, end.tick);
  const scaled = scaleVolume(excerpt, volumePercent);
  if (tolerance === undefined) return { columns: scaled, dropped: 0, reductions: [] };
  const { columns, dropped, reductions } = thin(scaled, tolerance);
  return { columns, dropped: dropped.length, reductions };
}
