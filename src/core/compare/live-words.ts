import { millis } from '../report/figure-text.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { ComparisonDocument, DifferenceLine } from './comparison-document.ts';
import type { LiveView } from './live-comparison.ts';

/** Where the song is and how it stands, in ever fewer words for ever less room. */
export function liveWords(view: LiveView | undefined, timeline: Timeline): readonly [string, ...string[]] {
  if (view === undefined || view.state === 'waiting') return ['waiting for the song to be told', 'waiting'];
  if (view.state === 'other') return ['this is not the song', 'another song'];
  const { bar, beat } = timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(view.songMicros));
  const place = `${bar}:${beat}`;
  if (view.soFar === undefined) return [place];
  const { notes, lateness } = view.soFar;
  const counts = `${notes.matched} of ${notes.song} as written`;
  const wrong = `${notes.missing} missing, ${notes.added} added, ${notes.changed} changed`;
  const late = lateness === null ? '' : `, late ${millis(lateness.p99Micros)}`;
  return [
    `${place}  ${counts}, ${wrong}${late}`,
    `${place}  ${counts}, ${wrong}`,
    `${place}  ${notes.missing} missing, ${notes.added} added`,
    place,
  ];
}

/** A difference in a line: where, what. */
export function differenceWords({ kind, what, bar, beat, channel, note, heard }: DifferenceLine): string {
  const place = `${bar}:${beat}`;
  if (kind !== 'changed') return `${place} ${kind}: ${note} on channel ${channel}`;
  return `${place} changed ${what}: ${note} on channel ${channel} came as ${heard}`;
}

export function causeWords({ text, evidence }: ComparisonDocument['causes'][number]): string {
  return `${text}: ${evidence}`;
}

const MOST_DIFFERENCES = 10;

/**
 * What is new in a view, a line each: causes, and the first ten differences. A difference is told when two views on end have
 * it: at the edge of what was heard one may come and go. Remembers what it has told.
 */
export class LiveNews {
  readonly #told = new Set<string>();
  #before: ReadonlySet<string> = new Set();
  #differences = 0;
  #last: LiveView | undefined;

  take(view: LiveView): string[] {
    if (view === this.#last) return [];
    this.#last = view;
    const { causes = [], differences = [] } = view.soFar ?? {};
    const lines: string[] = [];
    for (const cause of causes) {
      if (this.#told.has(cause.code)) continue;
      this.#told.add(cause.code);
      lines.push(causeWords(cause));
    }
    const seen = new Set(differences.map(differenceWords));
    for (const line of seen) {
      if (!this.#before.has(line) || this.#told.has(line) || this.#differences >= MOST_DIFFERENCES) continue;
      this.#told.add(line);
      this.#differences += 1;
      lines.push(line);
    }
    this.#before = seen;
    return lines;
  }
}
