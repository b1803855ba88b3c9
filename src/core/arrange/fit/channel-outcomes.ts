import { isNoteOn } from '../../timeline/note-row.ts';
import type { SeatFit } from './fit-seat.ts';
import { NEW_ROW } from './row-edits.ts';

/** What became of one channel of the song. Channels count from 1. */
export interface ChannelOutcome {
  readonly channel: number;
  readonly drums: boolean;
  readonly notes: number;
  /** Channels on which its notes are played now; none: it is not heard. */
  readonly playsOn: readonly number[];
  readonly leftOut: number;
  /** Why most of those are, where any is. */
  readonly leftOutWhy: LeftOutWhy | null;
  readonly shortened: number;
  /** Notes played with another program than the one asked for. */
  readonly otherProgram: number;
}

/** Why a note is not sent. */
export type LeftOutWhy = 'noVoice' | 'noPart' | 'noDrums' | 'noDrumSound' | 'noKey' | 'keyTaken';

/** Note-on rows as written that are not sent, by why. */
export function rowsLeftOut({ fitted }: SeatFit): Readonly<Record<LeftOutWhy, readonly number[]>> {
  const { drumKeys, keys, parts, withoutVoice } = fitted;
  return {
    noVoice: withoutVoice,
    noPart: parts?.withoutPart ?? [],
    noDrums: drumKeys.withoutDrums,
    noDrumSound: drumKeys.withoutSound,
    noKey: keys.withoutKey,
    keyTaken: [...keys.keyTaken, ...(parts?.keyTaken ?? [])],
  };
}

export function channelOutcomes(fit: SeatFit): ChannelOutcome[] {
  const { fitted, judge } = fit;
  const { notes } = judge;
  const counts = Array.from({ length: 16 }, (_, channel) => ({
    channel: channel + 1,
    drums: false,
    notes: 0,
    on: new Set<number>(),
    sent: 0,
    shortened: 0,
    otherProgram: 0,
    why: new Map<LeftOutWhy, number>(),
  }));
  const channelAt = new Map<number, number>();
  for (let note = 0; note < notes.count; note += 1) {
    const count = counts[notes.channel[note]!]!;
    const row = notes.onRow[note]!;
    channelAt.set(row, notes.channel[note]!);
    count.notes += 1;
    count.drums ||= notes.drum[note] === 1;
    if (!fitted.keepsProgram[row]) count.otherProgram += 1;
  }
  const { columns, origin } = fitted;
  for (let row = 0; row < columns.count; row += 1) {
    if (!isNoteOn(columns, row) || origin[row] === NEW_ROW) continue;
    const count = counts[channelAt.get(origin[row]!)!]!;
    count.sent += 1;
    count.on.add((columns.status[row]! & 15) + 1);
  }
  for (const row of fitted.shortened) counts[channelAt.get(row)!]!.shortened += 1;
  for (const [why, rows] of Object.entries(rowsLeftOut(fit)) as [LeftOutWhy, readonly number[]][]) {
    for (const row of rows) {
      const count = counts[channelAt.get(row)!]!;
      count.why.set(why, (count.why.get(why) ?? 0) + 1);
    }
  }
  return counts
    .filter((count) => count.notes > 0)
    .map(({ on, sent, why, ...count }) => ({
      channel: count.channel,
      drums: count.drums,
      notes: count.notes,
      playsOn: [...on].sort((a, b) => a - b),
      leftOut: count.notes - sent,
      leftOutWhy: [...why].sort(([, a], [, b]) => b - a)[0]?.[0] ?? null,
      shortened: count.shortened,
      otherProgram: count.otherProgram,
    }));
}
