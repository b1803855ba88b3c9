import { isNoteOn } from '../../timeline/note-row.ts';
import type { SongFit } from './fit-song.ts';
import { NEW_ROW } from './row-edits.ts';

/** What became of one channel of the song. Channels count from 1. */
export interface ChannelOutcome {
  readonly channel: number;
  readonly drums: boolean;
  readonly notes: number;
  /** Channels on which its notes are played now; none: it is not heard. */
  readonly playsOn: readonly number[];
  readonly leftOut: number;
  readonly shortened: number;
  /** Notes played with another program than the one asked for. */
  readonly otherProgram: number;
}

export function channelOutcomes({ fitted, judge }: SongFit): ChannelOutcome[] {
  const { notes } = judge;
  const counts = Array.from({ length: 16 }, (_, channel) => ({
    channel: channel + 1,
    drums: false,
    notes: 0,
    on: new Set<number>(),
    sent: 0,
    shortened: 0,
    otherProgram: 0,
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
  return counts
    .filter((count) => count.notes > 0)
    .map(({ on, sent, ...count }) => ({
      channel: count.channel,
      drums: count.drums,
      notes: count.notes,
      playsOn: [...on].sort((a, b) => a - b),
      leftOut: count.notes - sent,
      shortened: count.shortened,
      otherProgram: count.otherProgram,
    }));
}
