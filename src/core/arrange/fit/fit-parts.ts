import type { Instrument } from '../../instrument/instrument.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { assignParts } from './assign-parts.ts';
import { drumPlaces } from './drum-routing.ts';
import { type HeardNotes, heardNotes } from './heard-notes.ts';
import { heardValue } from './heard-value.ts';
import { mergedLeaders } from './merged-leaders.ts';
import type { ChannelMove } from './moves.ts';
import { noteSounds } from './note-sounds.ts';
import { noteWeights } from './note-weights.ts';
import { PartRouting } from './part-routing.ts';
import { ChannelDisturbance, partStretches, type TimeOf } from './part-stretches.ts';
import { type EditedRows, RowEdits, type SongEnd } from './row-edits.ts';

export type PartsBy = 'notes' | 'worth' | 'none';

export interface PartFit extends EditedRows {
  readonly moves: readonly ChannelMove[];
  /** Note-on rows of the columns given: played with another program or kit; without any part. */
  readonly otherProgram: readonly number[];
  readonly withoutPart: readonly number[];
  /** Strokes left out because the same key is struck by drums that have the channel already. */
  readonly keyTaken: readonly number[];
  readonly drumChannels: readonly number[];
}

/** Shorter rests are not worth the bytes of setting a channel up anew: our choice. */
const LEAST_REST_MICROS = 50_000;

/** Channels an instrument plays melodies on, and as many of them as it has parts. */
export function partChannels({ channels, drums, parts }: Instrument): {
  readonly all: readonly number[];
  readonly count: number;
} {
  const all = channels.filter((channel) => !drums.channels.includes(channel));
  return { all, count: Math.min(parts, all.length) };
}

/** What needs a part at any one time is spread over those there are; drums go where they are heard. */
export function fitParts(
  columns: TimelineColumns,
  end: SongEnd,
  instrument: Instrument,
  drumChannels: readonly number[],
  partsBy: 'notes' | 'worth',
): PartFit | undefined {
  const notes = heardNotes(columns, drumChannels);
  const { all, count } = partChannels(instrument);
  const played = notesByChannel(notes);
  const places = drumPlaces(notes, drumChannels, instrument.drums.channels);
  const drumsMove = [...places.to].some(([from, to]) => from !== to && notes.channel.includes(from));
  const fits = played.length <= count && played.every((channel) => all.includes(channel));
  if (fits && !drumsMove) return undefined;
  const still = new ChannelDisturbance(columns);
  const timeOf = (row: number) => (row < columns.count ? columns.micros[row]! : end.micros);
  const pause = instrument.pauses.afterProgramMicros;
  const rest = Math.max(LEAST_REST_MICROS, pause + instrument.releaseMicros);
  const leaders = fits ? new Map<number, number>() : mergedLeaders(notes, still, columns.count);
  const stretches = partStretches(notes, leaders, fits ? Number.POSITIVE_INFINITY : 0, timeOf);
  const { like } = noteSounds(notes, instrument);
  const worth = partsBy === 'worth' ? worthOf(columns, notes, like, timeOf) : undefined;
  // Where all channels are heard nothing but the drums moves: each keeps its own.
  const channels = fits ? played : chosenChannels(all, count, played);
  const placed = fits ? [] : assignParts(stretches, channels, rest, timeOf, worth);
  const edits = new RowEdits(columns);
  const routing = new PartRouting({
    columns,
    edits,
    notes,
    like,
    instrument,
    still,
    timeOf,
    pauseMicros: pause,
    placed,
    drums: places,
    onlyDrums: fits,
  });
  const routed = routing.route();
  return { ...edits.made(end), ...routed, drumChannels: instrument.drums.channels };
}

/** Melodic channels with notes, those with most first. */
function notesByChannel(notes: HeardNotes): number[] {
  const counts = new Uint32Array(16);
  for (let note = 0; note < notes.count; note += 1) {
    if (!notes.drum[note]) counts[notes.channel[note]!]! += 1;
  }
  return Array.from(counts.keys())
    .filter((channel) => counts[channel]! > 0)
    .sort((a, b) => counts[b]! - counts[a]!);
}

/** Those that most notes have already. */
function chosenChannels(all: readonly number[], count: number, played: readonly number[]): number[] {
  const own = played.filter((channel) => all.includes(channel));
  const others = all.filter((channel) => !own.includes(channel));
  return [...own, ...others].slice(0, count);
}

/** [notes] how much is heard of each. */
function worthOf(
  columns: TimelineColumns,
  notes: HeardNotes,
  like: Uint8Array,
  timeOf: TimeOf,
): Float64Array {
  const { weight, decay } = noteWeights(columns, notes, 1, like);
  return weight.map((one, note) => {
    const seconds = (timeOf(notes.endRow[note]!) - timeOf(notes.onRow[note]!)) / 1e6;
    return one * heardValue(seconds, seconds, decay[note]!);
  });
}
