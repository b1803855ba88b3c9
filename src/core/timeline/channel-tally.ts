import { noteValues } from './note-values.ts';
import type { TimelineColumns } from './timeline.ts';
import type { TimelineFindingCode, TimelineFindings } from './timeline-finding.ts';

/** Counts what happens too often to be listed one by one: a channel gets one sentence, with the first place. */
export class ChannelTally {
  readonly #times = new Uint32Array(16);
  readonly #firstRow = new Uint32Array(16);

  add(channel: number, row: number): void {
    if (this.#times[channel] === 0) this.#firstRow[channel] = row;
    this.#times[channel]! += 1;
  }

  report(code: TimelineFindingCode, columns: TimelineColumns, findings: TimelineFindings): void {
    for (const [channel, times] of this.#times.entries()) {
      if (times === 0) continue;
      findings.add(code, -1, (place) => ({ ...noteValues(columns, this.#firstRow[channel]!, place), times }));
    }
  }
}
