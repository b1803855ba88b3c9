import { keyName } from '../midi/key-names.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { type BarDifferences, barDifferences, placeOfHeard } from './bar-differences.ts';
import type { CauseCode } from './cause.ts';
import { CAUSE_GUIDE } from './cause-guide.ts';
import { isClockKnown } from './clock-fit.ts';
import type { MusicComparison } from './compare-music.ts';
import { MOST_LINES } from './most-lines.ts';
import { type StandstillCounts, standstillCounts } from './standstills.ts';
import { type SysExDocument, sysExDocument } from './sysex-document.ts';
import type { Law } from './time-laws.ts';

export const COMPARE_SCHEMA = 'wirepit-compare/1';

/** What `compare --json` prints. A stable surface: docs/compare-json.md. Channels and bars count from 1. */
export interface ComparisonDocument {
  readonly schema: typeof COMPARE_SCHEMA;
  readonly song: string;
  readonly heard: string;
  /** `part`: the same as far as it was heard, which is not from beginning to end. */
  readonly verdict: 'same' | 'part' | 'differs';
  /** False: so little of the song is there that it is another one. */
  readonly isTheSong: boolean;
  readonly notes: {
    readonly song: number;
    readonly heard: number;
    readonly matched: number;
    readonly missing: number;
    readonly added: number;
    readonly changed: number;
    readonly late: number;
    /** Written before the recording began or after it ended: not judged. */
    readonly unheard: number;
  };
  /** Bars of the first and last written note that was heard, 0 for none, and of all: a recording may begin late and end early. */
  readonly span: {
    readonly fromBar: number;
    readonly toBar: number;
    readonly firstBar: number;
    readonly lastBar: number;
  };
  readonly offs: { readonly missing: number; readonly added: number };
  readonly clock: {
    /** Positive: slow. Null where there are no times, or too little to tell (then the uncertainty says how little). */
    readonly ppm: number | null;
    readonly ppmUncertainty: number | null;
    readonly law: Law;
    readonly lostPerMessageMicros: number;
  };
  readonly lateness: {
    readonly p50Micros: number;
    readonly p99Micros: number;
    readonly maxMicros: number;
    readonly boundMaxMicros: number;
    readonly histogram: { readonly binMicros: number; readonly counts: readonly number[] };
  } | null;
  /** The listener itself stood still: so often, for so long at the longest, and the lateness of so many notes is not known for it. */
  readonly standstills: StandstillCounts;
  readonly state: readonly {
    readonly channel: number;
    readonly what: string;
    readonly notes: number;
    readonly written: number;
    readonly heard: number | null;
    readonly bar: number;
  }[];
  readonly sysEx: SysExDocument;
  readonly faults: Readonly<Record<string, number>>;
  readonly causes: readonly {
    readonly code: CauseCode;
    readonly text: string;
    readonly evidence: string;
    readonly look: string;
    /** Where there are `parts`: in how many of them it is seen, and the last of those, of which the evidence is. */
    readonly seenIn?: number;
    readonly part?: number;
  }[];
  readonly bars: readonly BarDifferences[];
  readonly hanging: readonly { readonly channel: number; readonly key: number; readonly seconds: number }[];
  /** In how many parts it was judged, where that was not in one (`SettledParts`). */
  readonly parts?: number;
  /** How often the song was played, where more than once: each time is a part. */
  readonly times?: number;
  /** The first hundred, in the recording's order. */
  readonly differences: readonly DifferenceLine[];
}

export interface DifferenceLine {
  readonly kind: 'missing' | 'added' | 'changed';
  readonly what: 'note' | 'channel' | 'key' | 'velocity';
  readonly bar: number;
  readonly beat: number;
  readonly channel: number;
  readonly note: string;
  readonly seconds: number;
  /** For what was changed: as it came. */
  readonly heard: string | null;
}

export function comparisonDocument(
  song: string,
  heard: string,
  timeline: Timeline,
  comparison: MusicComparison,
  faultNames: readonly string[],
): ComparisonDocument {
  const { notes, matched, clock, lateness, written, state, hanging } = comparison;
  const isTimed = comparison.heard.hasTimes && matched.law !== 'no-timing';
  return {
    schema: COMPARE_SCHEMA,
    song,
    heard,
    verdict: comparison.verdict,
    isTheSong: comparison.isTheSong,
    notes: {
      song: written.count,
      heard: comparison.heard.on.count,
      matched: matched.matching.matched,
      missing: notes.missing,
      added: notes.added,
      changed: notes.changed,
      late: comparison.lateNotes.length,
      unheard: comparison.coverage.unheard,
    },
    span: spanOf(timeline, comparison),
    offs: { missing: comparison.offsMissing, added: comparison.heard.surplusOffs.length },
    clock: {
      ppm: isTimed && isClockKnown(clock) ? tenth((clock.line.rate - 1) * 1e6) : null,
      ppmUncertainty:
        isTimed && Number.isFinite(clock.line.rateError) ? tenth(2 * clock.line.rateError * 1e6) : null,
      law: matched.law,
      lostPerMessageMicros: tenth(clock.lostPerMessageMicros),
    },
    lateness: isTimed
      ? {
          p50Micros: Math.round(lateness.p50Micros),
          p99Micros: Math.round(lateness.p99Micros),
          maxMicros: Math.round(lateness.maxMicros),
          boundMaxMicros: Math.round(comparison.boundMaxMicros),
          histogram: { binMicros: lateness.binMicros, counts: lateness.histogram },
        }
      : null,
    standstills: standstillCounts(comparison.heard.standstills, isTimed ? lateness.unknown : 0),
    state: state.map(({ channel, what, notes: affected, written: wanted, heard: got, first }) => ({
      channel: channel + 1,
      what: typeof what === 'number' ? `controller ${what}` : what,
      notes: affected,
      written: wanted,
      heard: got ?? null,
      bar: timeline.meterMap.barBeatAt(written.tick[first]!).bar,
    })),
    sysEx: sysExDocument(timeline, comparison),
    faults: faultCounts(comparison.heard.faults.byKind, faultNames),
    causes: comparison.causes.map(({ code, evidence }) => ({ code, ...CAUSE_GUIDE[code], evidence })),
    bars: barDifferences(timeline, comparison),
    hanging: hanging.map(({ channel, key, micros }) => ({
      channel: channel + 1,
      key,
      seconds: micros / 1e6,
    })),
    differences: Array.from({ length: Math.min(MOST_LINES, notes.length) }, (_, n) =>
      differenceLine(timeline, comparison, n),
    ),
  };
}

/** How often each kind of fault came, by its name; those that did. */
export function faultCounts(
  byKind: readonly number[],
  names: readonly string[],
): ComparisonDocument['faults'] {
  return Object.fromEntries(byKind.flatMap((times, kind) => (times > 0 ? [[names[kind]!, times]] : [])));
}

function spanOf(timeline: Timeline, { written, matched }: MusicComparison): ComparisonDocument['span'] {
  const { heardOf } = matched.matching;
  const isHeard = (found: number) => found >= 0;
  const bar = (note: number) => (note < 0 ? 0 : timeline.meterMap.barBeatAt(written.tick[note]!).bar);
  return {
    fromBar: bar(heardOf.findIndex(isHeard)),
    toBar: bar(heardOf.findLastIndex(isHeard)),
    firstBar: bar(written.count > 0 ? 0 : -1),
    lastBar: bar(written.count - 1),
  };
}

function differenceLine(timeline: Timeline, comparison: MusicComparison, n: number): DifferenceLine {
  const { written, heard, matched } = comparison;
  const one = comparison.notes.at(n);
  if (one.kind === 'added') {
    const { on } = heard;
    const { bar, beat } = placeOfHeard(timeline, comparison, on.micros[one.heard]!);
    const note = keyName(on.key[one.heard]!);
    return {
      kind: 'added',
      what: 'note',
      bar,
      beat,
      channel: on.channel[one.heard]! + 1,
      note,
      seconds: on.micros[one.heard]! / 1e6,
      heard: null,
    };
  }
  const { bar, beat } = timeline.meterMap.barBeatAt(written.tick[one.written]!);
  const place = {
    bar,
    beat,
    channel: written.channel[one.written]! + 1,
    note: keyName(written.key[one.written]!),
    seconds: Math.max(0, matched.expected[one.written]!) / 1e6,
  };
  if (one.kind === 'missing') return { kind: 'missing', what: 'note', ...place, heard: null };
  const { on } = heard;
  const came = {
    channel: `channel ${on.channel[one.heard]! + 1}`,
    key: keyName(on.key[one.heard]!),
    velocity: `velocity ${on.velocity[one.heard]} for ${written.velocity[one.written]}`,
  };
  return { kind: 'changed', what: one.what, ...place, heard: came[one.what] };
}

const tenth = (value: number): number => Math.round(value * 10) / 10;
