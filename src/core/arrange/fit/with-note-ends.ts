import { HOLDING_PEDALS } from '../../midi/pedals.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';
import { pedalledChannels } from './pedalled-channels.ts';
import { LEFT_OUT, OWN_END } from './played-notes.ts';
import { type EditedRows, RowEdits, type SongEnd } from './row-edits.ts';

const INAUDIBLE_MICROS = 10_000;

export interface NoteEndFit extends EditedRows {
  /** Note-on rows of the columns given. */
  readonly leftOut: readonly number[];
  readonly shortened: readonly number[];
  readonly flattenedChannels: readonly number[];
}

/**
 * The same notes with other ends. Where notes of a channel are shortened, or it is named, its pedals are written
 * out first: they are left out, and every note is as long as it sounded.
 * @param endOf [notes] row with which each ends, OWN_END, or LEFT_OUT
 * @param early cut a tick before the moment a voice is needed; false: at it, in the first track
 */
export function withNoteEnds(
  columns: TimelineColumns,
  end: SongEnd,
  notes: HeardNotes,
  endOf: Uint32Array,
  writtenOut: readonly number[] = [],
  early = true,
): NoteEndFit | undefined {
  const edits = new RowEdits(columns);
  const isCut = new Uint8Array(16);
  for (let note = 0; note < notes.count; note += 1) {
    if (endOf[note]! < LEFT_OUT) isCut[notes.channel[note]!] = 1;
  }
  const pedalled = pedalledChannels(columns).filter((channel) => isCut[channel]);
  const flattened = [...new Set([...pedalled, ...writtenOut])];
  dropPedals(columns, edits, flattened);
  const leftOut: number[] = [];
  const shortened: number[] = [];
  for (let note = 0; note < notes.count; note += 1) {
    if (endOf[note] !== LEFT_OUT) continue;
    const row = notes.onRow[note]!;
    leftOut.push(row);
    edits.drop(row);
    if (columns.partner[row]! < columns.count) edits.drop(columns.partner[row]!);
  }
  for (let note = 0; note < notes.count; note += 1) {
    const own = endOf[note]!;
    if (own === LEFT_OUT) continue;
    const row = notes.onRow[note]!;
    const off = columns.partner[row]!;
    const to = own === OWN_END ? notes.endRow[note]! : own;
    // A note that ended because its key was struck again ends there, also where that strike is left out.
    const lostEnd = to < columns.count && edits.isDropped(to) && off !== to;
    if (own === OWN_END && !flattened.includes(notes.channel[note]!) && !lostEnd) continue;
    const tick = own === OWN_END ? tickAt(columns, to) : cutTick(columns, row, to, early);
    const written = notes.endRow[note]!;
    if (own !== OWN_END && isAudible(columns, end, tick, written)) shortened.push(row);
    if (own === OWN_END && off === to) continue;
    if (off < columns.count) edits.drop(off);
    const status = 0x80 | notes.channel[note]!;
    // At the very tick it has to come before strikes of whatever track: what stands in the first does.
    const isLate = own !== OWN_END && tick === tickAt(columns, to);
    const track = isLate ? 0 : columns.track[row]!;
    edits.addAt(tick, to, status, notes.key[note]!, releaseVelocity(columns, off), track);
  }
  if (edits.isEmpty) return undefined;
  return { ...edits.made(end), leftOut, shortened, flattenedChannels: flattened };
}

/** 64 where a song gives none (MIDI 1.0, p. 10). */
function releaseVelocity({ count, status, data2 }: TimelineColumns, off: number): number {
  return off < count && (status[off]! & 0xf0) === 0x80 ? data2[off]! : 64;
}

function dropPedals({ count, status, data1 }: TimelineColumns, edits: RowEdits, channels: readonly number[]) {
  for (let row = 0; row < count && channels.length > 0; row += 1) {
    if ((status[row]! & 0xf0) !== 0xb0 || !channels.includes(status[row]! & 15)) continue;
    if (HOLDING_PEDALS.some(({ controller }) => controller === data1[row])) edits.drop(row);
  }
}

/** −1 for the end of the song. */
function tickAt({ count, tick }: TimelineColumns, row: number): number {
  return row < count ? tick[row]! : -1;
}

/** A tick before those that need its voice, whatever track they stand in; where it is that short, at the tick. */
function cutTick({ tick }: TimelineColumns, onRow: number, to: number, early: boolean): number {
  return early && tick[to]! - 1 > tick[onRow]! ? tick[to]! - 1 : tick[to]!;
}

/** A few milliseconds, so that a voice is free in time, nobody hears. */
function isAudible(columns: TimelineColumns, end: SongEnd, tick: number, written: number): boolean {
  const before = written < columns.count ? columns.micros[written]! : end.micros;
  return before - end.microsAt(tick) > INAUDIBLE_MICROS;
}
