import type { Timeline } from '../../timeline/timeline.ts';
import type { ClockFit } from '../clock-fit.ts';
import type { Coverage } from '../coverage.ts';
import type { HeardMusic } from '../heard-music.ts';
import type { Lateness } from '../lateness.ts';
import type { MatchedMusic } from '../match-music.ts';
import type { NoteDifferences } from '../note-differences.ts';
import type { WrittenMusic } from '../written-music.ts';
import type { StatusFault } from './status-faults.ts';

/** All that a cause is judged by. */
export interface Evidence {
  readonly timeline: Timeline;
  readonly written: WrittenMusic;
  readonly heard: HeardMusic;
  readonly matched: MatchedMusic;
  readonly coverage: Coverage;
  readonly clock: ClockFit;
  readonly lateness: Lateness;
  readonly notes: NoteDifferences;
  readonly offsMissing: number;
  /** Running status of the file, misread (`statusFaults`). */
  readonly status: StatusFault | undefined;
  /** Microseconds below which the receiver's own times say nothing. */
  readonly grainMicros: number;
}
