import { programName } from '../../instrument/general-midi.ts';
import { controllerName } from '../../midi/controllers.ts';
import type { Timeline } from '../../timeline/timeline.ts';
import { type BarLoss, barLosses } from './bar-losses.ts';
import { type ChannelOutcome, channelOutcomes, type LeftOutWhy, rowsLeftOut } from './channel-outcomes.ts';
import type { MessageFit, ResetMove } from './fit-messages.ts';
import type { SeatFit } from './fit-seat.ts';
import type { OrchestraFit } from './fit-song.ts';
import { keptProgramPercent, type MeasureDocument, totalMeasure } from './measure-document.ts';

export const FIT_SCHEMA = 'wirepit-fit/1';

/** One of several instruments: what goes to it, and how it fares there. */
export interface InstrumentDocument {
  readonly port: string;
  readonly channels: readonly number[];
  readonly name: string;
  /** Of those channels, and of those that go to another port. */
  readonly hears: readonly number[];
  readonly hearsElsewhere: readonly number[];
  readonly before: MeasureDocument;
  readonly after: MeasureDocument;
  readonly keptProgramPercent: number;
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
  readonly putIn: {
    readonly programChannels: readonly number[];
    readonly bendRangeChannels: readonly number[];
    readonly resetMessages: number;
  };
  readonly bendsScaledChannels: readonly number[];
  readonly pedalsWrittenOutChannels: readonly number[];
  /** One for each port of the map; none where one instrument is behind all channels. */
  readonly instruments: readonly InstrumentDocument[];
  readonly channels: readonly (ChannelOutcome & { readonly port: string | null })[];
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

export function fitDocument(file: string, timeline: Timeline, keep: number, fit: OrchestraFit): FitDocument {
  const { seats } = fit;
  const channelsOf = (list: (seat: SeatFit) => readonly number[]) =>
    [...new Set(seats.flatMap(list))].sort((a, b) => a - b).map((channel) => channel + 1);
  return {
    schema: FIT_SCHEMA,
    file,
    instrument: seats.map(({ seat }) => seat.instrument.name).join(', '),
    keep,
    changed: fit.song !== undefined,
    before: totalMeasure(seats, 'before'),
    after: totalMeasure(seats, 'after'),
    keptProgramPercent: keptProgramPercent(seats),
    programs: seats.flatMap(programsOf),
    moved: seats.flatMap(movedOf),
    shortened: seats.reduce((sum, { fitted }) => sum + fitted.shortened.length, 0),
    leftOut: {
      notes: leftOutNotes(seats),
      controllers: [...tallied(seats, ({ controllers }) => controllers)].map(([controller, count]) => ({
        controller,
        name: controllerName(controller),
        count,
      })),
      parameters: [...tallied(seats, ({ parameters }) => parameters)].map(([parameter, count]) => ({
        parameter: `${parameter >> 7}/${parameter & 127}`,
        count,
      })),
      resets: fit.resetsLeftOut,
      banks: seats.reduce((sum, { fitted }) => sum + fitted.programs.banksDropped, 0),
    },
    resetsExchanged: resetsExchanged(seats),
    putIn: {
      programChannels: channelsOf(({ fitted }) => fitted.programs.putIn),
      bendRangeChannels: channelsOf(({ fitted }) => fitted.messages.rangesPutIn),
      resetMessages: seats.reduce((sum, { fitted }) => sum + fitted.messages.resetsWrittenOut, 0),
    },
    bendsScaledChannels: channelsOf(({ fitted }) => fitted.messages.bendsScaled),
    pedalsWrittenOutChannels: channelsOf(({ fitted }) => fitted.pedalsWrittenOut),
    instruments: seats.flatMap(instrumentOf),
    channels: seats
      .flatMap((seat) => channelOutcomes(seat).map((one) => ({ ...one, port: seat.seat.port ?? null })))
      .sort((a, b) => a.channel - b.channel),
    bars: barLosses(timeline, seats),
  };
}

const KEY_WORDS = { drum: 'drum-key', part: 'part-key', note: 'key' } as const;

function programsOf({ fitted: { programs } }: SeatFit): FitDocument['programs'] {
  return programs.moves.map(({ channel, from, to, toName, why, notes }) => ({
    channel: channel + 1,
    from: from + 1,
    to: to + 1,
    toName: toName === '' ? programName(to) : toName,
    why,
    notes,
  }));
}

function movedOf({ fitted: { parts, drumKeys, keys } }: SeatFit): MovedDocument[] {
  const channels = (parts?.moves ?? []).map(({ from, to, why, notes }) => ({
    what: 'channel' as const,
    from: from + 1,
    to: to + 1,
    why,
    notes,
  }));
  const ofKeys = [...drumKeys.moves, ...keys.moves].map(({ channel, what, from, to, notes }) => ({
    what: KEY_WORDS[what],
    channel: channel + 1,
    from,
    to,
    notes,
  }));
  return [...channels, ...ofKeys];
}

function leftOutNotes(seats: readonly SeatFit[]): LeftOutDocument['notes'] {
  const all = seats.map(rowsLeftOut);
  const count = (why: LeftOutWhy) => all.reduce((sum, rows) => sum + rows[why].length, 0);
  return {
    noVoice: count('noVoice'),
    noPart: count('noPart'),
    noDrums: count('noDrums'),
    noDrumSound: count('noDrumSound'),
    noKey: count('noKey'),
    keyTaken: count('keyTaken'),
  };
}

/** Each once: a reset goes to all instruments, and all that take another in its place take the same. */
function resetsExchanged(seats: readonly SeatFit[]): ResetMove[] {
  const moves = seats.flatMap(({ fitted }) => fitted.messages.resetMoves);
  return moves.filter(
    ({ from, to }, at) => moves.findIndex((one) => one.from === from && one.to === to) === at,
  );
}

/** What is counted by number, of all instruments together. */
function tallied(
  seats: readonly SeatFit[],
  counts: (messages: MessageFit) => ReadonlyMap<number, number>,
): Map<number, number> {
  const sums = new Map<number, number>();
  for (const { fitted } of seats) {
    for (const [number, count] of counts(fitted.messages)) sums.set(number, (sums.get(number) ?? 0) + count);
  }
  return sums;
}

/** None where one instrument is behind all channels: it is all there is to tell of. */
function instrumentOf(fit: SeatFit): InstrumentDocument[] {
  const { port, instrument, channels } = fit.seat;
  if (port === undefined) return [];
  const hears = instrument.channels.map((channel) => channel + 1);
  const goes = channels.map((channel) => channel + 1);
  return [
    {
      port,
      channels: goes,
      name: instrument.name,
      hears: hears.filter((channel) => goes.includes(channel)),
      hearsElsewhere: hears.filter((channel) => !goes.includes(channel)),
      before: totalMeasure([fit], 'before'),
      after: totalMeasure([fit], 'after'),
      keptProgramPercent: keptProgramPercent([fit]),
    },
  ];
}
