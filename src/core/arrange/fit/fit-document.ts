import { programName } from '../../instrument/general-midi.ts';
import type { Instrument } from '../../instrument/instrument.ts';
import { controllerName } from '../../midi/controllers.ts';
import type { Timeline } from '../../timeline/timeline.ts';
import { type BarLoss, barLosses } from './bar-losses.ts';
import { type ChannelOutcome, channelOutcomes, type LeftOutWhy, rowsLeftOut } from './channel-outcomes.ts';
import type { FitMeasure } from './fit-measure.ts';
import type { ResetMove } from './fit-messages.ts';
import type { SongFit } from './fit-song.ts';

export const FIT_SCHEMA = 'wirepit-fit/1';

export interface MeasureDocument {
  readonly notes: number;
  readonly notesCut: number;
  readonly lossPercent: number;
  readonly mostVoices: number;
  readonly parts: number;
}

/** What `fit --json` prints; described in docs/fit-json.md. Channels and programs count from 1. */
export interface FitDocument {
  readonly schema: typeof FIT_SCHEMA;
  readonly file: string;
  readonly instrument: string;
  readonly keep: number;
  readonly changed: boolean;
  readonly before: MeasureDocument;
  readonly after: MeasureDocument;
  readonly keptProgramPercent: number;
  readonly programs: readonly {
    readonly channel: number;
    readonly from: number;
    readonly to: number;
    readonly toName: string;
    readonly why: string;
    readonly notes: number;
  }[];
  readonly moved: readonly MovedDocument[];
  readonly shortened: number;
  readonly leftOut: LeftOutDocument;
  /** Resets and what is sent in their place, as in `check --json` (`sysEx.reset`). */
  readonly resetsExchanged: readonly ResetMove[];
  readonly putIn: { readonly bendRangeChannels: readonly number[]; readonly resetMessages: number };
  readonly bendsScaledChannels: readonly number[];
  readonly pedalsWrittenOutChannels: readonly number[];
  readonly channels: readonly ChannelOutcome[];
  readonly bars: readonly BarLoss[];
}

export type MovedDocument =
  | {
      readonly what: 'channel';
      readonly from: number;
      readonly to: number;
      readonly why: string;
      readonly notes: number;
    }
  | {
      readonly what: 'key' | 'part-key' | 'drum-key';
      readonly channel: number;
      readonly from: number;
      readonly to: number;
      readonly notes: number;
    };

export interface LeftOutDocument {
  /** Notes, by why they are not sent. */
  readonly notes: Readonly<Record<LeftOutWhy, number>>;
  readonly controllers: readonly {
    readonly controller: number;
    readonly name: string;
    readonly count: number;
  }[];
  readonly parameters: readonly { readonly parameter: string; readonly count: number }[];
  readonly resets: number;
  readonly banks: number;
}

export function fitDocument(
  file: string,
  timeline: Timeline,
  instrument: Instrument,
  keep: number,
  fit: SongFit,
): FitDocument {
  const { fitted, judge } = fit;
  const { programs, drumKeys, keys, messages, parts } = fitted;
  return {
    schema: FIT_SCHEMA,
    file,
    instrument: instrument.name,
    keep,
    changed: fit.song !== undefined,
    before: measureDocument(fit.before),
    after: measureDocument(fit.after),
    keptProgramPercent: keptProgramPercent(fit),
    programs: programs.moves.map(({ channel, from, to, toName, why, notes }) => ({
      channel: channel + 1,
      from: from + 1,
      to: to + 1,
      toName: toName === '' ? programName(to) : toName,
      why,
      notes,
    })),
    moved: [
      ...(parts?.moves ?? []).map(({ from, to, why, notes }) => ({
        what: 'channel' as const,
        from: from + 1,
        to: to + 1,
        why,
        notes,
      })),
      ...[...drumKeys.moves, ...keys.moves].map(({ channel, what, from, to, notes }) => ({
        what: KEY_WORDS[what],
        channel: channel + 1,
        from,
        to,
        notes,
      })),
    ],
    shortened: fitted.shortened.length,
    leftOut: {
      notes: leftOutCounts(fit),
      controllers: [...messages.controllers].map(([controller, count]) => ({
        controller,
        name: controllerName(controller),
        count,
      })),
      parameters: [...messages.parameters].map(([parameter, count]) => ({
        parameter: `${parameter >> 7}/${parameter & 127}`,
        count,
      })),
      resets: messages.resets,
      banks: programs.banksDropped,
    },
    resetsExchanged: messages.resetMoves,
    putIn: {
      bendRangeChannels: messages.rangesPutIn.map((channel) => channel + 1),
      resetMessages: messages.resetsWrittenOut,
    },
    bendsScaledChannels: messages.bendsScaled.map((channel) => channel + 1),
    pedalsWrittenOutChannels: fitted.pedalsWrittenOut.map((channel) => channel + 1),
    channels: channelOutcomes(fit),
    bars: barLosses(timeline, judge, fit.before, fit.after),
  };
}

const KEY_WORDS = { drum: 'drum-key', part: 'part-key', note: 'key' } as const;

function measureDocument({ notes, notesCut, lossPercent, mostVoices, parts }: FitMeasure): MeasureDocument {
  return { notes, notesCut, lossPercent: rounded(lossPercent), mostVoices, parts };
}

function leftOutCounts(fit: SongFit): Readonly<Record<LeftOutWhy, number>> {
  const { noVoice, noPart, noDrums, noDrumSound, noKey, keyTaken } = rowsLeftOut(fit);
  return {
    noVoice: noVoice.length,
    noPart: noPart.length,
    noDrums: noDrums.length,
    noDrumSound: noDrumSound.length,
    noKey: noKey.length,
    keyTaken: keyTaken.length,
  };
}

/** Of the notes that are no drums; 100 where there are none. */
function keptProgramPercent({ fitted, judge: { notes } }: SongFit): number {
  let melodic = 0;
  let kept = 0;
  for (let note = 0; note < notes.count; note += 1) {
    if (notes.drum[note]) continue;
    melodic += 1;
    kept += fitted.keepsProgram[notes.onRow[note]!]!;
  }
  return melodic > 0 ? rounded((100 * kept) / melodic) : 100;
}

function rounded(percent: number): number {
  return Math.round(percent * 1e4) / 1e4;
}
