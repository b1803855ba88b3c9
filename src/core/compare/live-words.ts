import { counted, millis } from '../report/figure-text.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { ComparisonDocument, DifferenceLine } from './comparison-document.ts';
import type { LiveSign } from './live-signs.ts';
import type { LiveView } from './live-view.ts';
import { sysExWords } from './sysex-words.ts';

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

export function signWords(sign: LiveSign): string {
  switch (sign.kind) {
    case 'overdue':
      return `${sign.bar}:${sign.beat} overdue: ${sign.note} on channel ${sign.channel} has not come`;
    case 'held':
      return `${sign.bar}:${sign.beat} not let go: ${sign.note} on channel ${sign.channel}`;
    case 'uneven':
      return `${sign.bar}:${sign.beat} notes come unevenly: ${millis(sign.micros)} between the early and the late ones`;
    case 'late':
      return `${sign.bar}:${sign.beat} late by ${millis(sign.micros)}: ${sign.note} on channel ${sign.channel}`;
    case 'drift':
      return `${sign.bar}:${sign.beat} from here on notes come ${millis(Math.abs(sign.micros))} ${sign.micros > 0 ? 'late' : 'early'}`;
  }
}

function stateWords({ channel, what, written, heard, bar }: ComparisonDocument['state'][number]): string {
  const got = heard === null ? 'not set' : String(heard);
  return `bar ${bar} sounds otherwise: channel ${channel}, ${what} is ${got} instead of ${written}`;
}

const MOST_DIFFERENCES = 10;
/** Lines about time and settings, of each kind. */
const MOST_SIGNS = 3;

interface News {
  /** What makes it one and the same in two views. */
  readonly key: string;
  /** Two views on end must have something of this; left out: this very thing. */
  readonly seenAs?: string;
  /** Of its kind no more than so many are told. */
  readonly kind: string;
  readonly text: string;
}

function standstillNews({ count, longestMicros }: ComparisonDocument['standstills']): News {
  return {
    key: `standstill ${count}`,
    kind: 'standstill',
    text: `wirepit itself has stood still ${counted(count, 'time')}, ${millis(longestMicros)} at the longest: when notes came then is not judged`,
  };
}

function newsIn({ soFar, signs }: LiveView): News[] {
  const { differences = [], state = [], sysEx, standstills } = soFar ?? {};
  return [
    ...(standstills === undefined || standstills.count === 0 ? [] : [standstillNews(standstills)]),
    ...differences.map((one): News => {
      const text = differenceWords(one);
      return { key: text, kind: 'difference', text };
    }),
    ...signs.map((one): News => {
      const text = signWords(one);
      // Whether time goes off or is uneven may be seen the one way and then the other: that it is wrong is seen twice.
      if (one.kind === 'drift')
        return { key: `drift ${one.micros > 0}`, seenAs: 'time', kind: 'drift', text };
      if (one.kind === 'uneven') return { key: 'uneven', seenAs: 'time', kind: 'uneven', text };
      return { key: `${one.kind} ${text.replace(/ by [^:]*/, '')}`, kind: one.kind, text };
    }),
    ...state.map(
      (one): News => ({
        key: `state ${one.channel} ${one.what}`,
        kind: 'state',
        text: stateWords(one),
      }),
    ),
    ...(sysEx?.differences ?? []).map((one): News => {
      const text = `${one.bar}:${one.beat} ${sysExWords(one)}`;
      // Of how many notes it is true grows as they come.
      return { key: `sysex ${one.kind} ${one.name} ${one.seconds}`, kind: 'sysex', text };
    }),
  ];
}

/**
 * What is new in a view, a line each: causes, the first ten differences, three of each kind of sign, and what is wrong
 * with settings. Each is told when two views on end have it: at the edge of what was heard one may come and go. Remembers
 * what it has told.
 */
export class LiveNews {
  readonly #told = new Set<string>();
  readonly #toldOf = new Map<string, number>();
  #before: ReadonlySet<string> = new Set();
  #last: LiveView | undefined;

  take(view: LiveView): string[] {
    if (view === this.#last) return [];
    this.#last = view;
    const lines: string[] = [];
    for (const cause of view.soFar?.causes ?? []) {
      if (this.#told.has(cause.code)) continue;
      this.#told.add(cause.code);
      lines.push(causeWords(cause));
    }
    const news = newsIn(view);
    for (const { key, seenAs = key, kind, text } of news) {
      const told = this.#toldOf.get(kind) ?? 0;
      if (!this.#before.has(seenAs) || this.#told.has(key)) continue;
      if (told >= (kind === 'difference' ? MOST_DIFFERENCES : MOST_SIGNS)) continue;
      this.#told.add(key);
      this.#toldOf.set(kind, told + 1);
      lines.push(text);
    }
    this.#before = new Set(news.map(({ key, seenAs = key }) => seenAs));
    return lines;
  }
}
