import { isNoteOff, isNoteOn } from '../midi/status.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';

/** How the song says a note ends. */
export interface NoteEnd {
  /** Song time (µs) of the strike, and of its release; −1 where nothing releases it. */
  readonly onMicros: number;
  readonly offMicros: number;
  /** Channel (0–15) of a stray note-off for the same key that came later on another channel; −1 for none. */
  readonly strayOffChannel: number;
}

/** Looks up how notes end. Made once for a timeline: `songNotesOf`. */
export interface SongNotes {
  /**
   * The strike of `key` on `channel` at exactly `songMicros`, as written in the song (not transposed);
   * undefined where the song has none. Of several at one moment, one that nothing releases goes first.
   */
  find(channel: number, key: number, songMicros: number): NoteEnd | undefined;
  /** The latest strike of that key at or before `songMicros` that nothing releases; undefined for none. */
  unreleasedBefore(channel: number, key: number, songMicros: number): NoteEnd | undefined;
  /** Note-ons without a note-off in the whole song. */
  readonly unreleasedCount: number;
}

export function songNotesOf(columns: TimelineColumns): SongNotes {
  const unreleased = collectUnpaired(columns, isNoteOn);
  const strayOffs = collectUnpaired(columns, isNoteOff);

  const endOf = (row: number): NoteEnd => {
    const partner = columns.partner[row]!;
    const onMicros = columns.micros[row]!;
    if (partner !== NO_PARTNER) {
      return { onMicros, offMicros: columns.micros[partner]!, strayOffChannel: -1 };
    }
    const channel = columns.status[row]! & 0x0f;
    return { onMicros, offMicros: -1, strayOffChannel: strayChannel(columns, strayOffs, row, channel) };
  };

  return {
    unreleasedCount: unreleased.total,
    find(channel, key, songMicros) {
      let found = -1;
      for (let row = firstRowAt(columns.micros, columns.count, songMicros); row < columns.count; row += 1) {
        if (columns.micros[row] !== songMicros) break;
        if (columns.status[row] !== (0x90 | channel) || columns.data1[row] !== key) continue;
        if (columns.data2[row] === 0) continue;
        found = row;
        if (columns.partner[row] === NO_PARTNER) break;
      }
      return found < 0 ? undefined : endOf(found);
    },
    unreleasedBefore(channel, key, songMicros) {
      const rows = unreleased.byKey.get(channel * 128 + key) ?? [];
      const row = rows.findLast((each) => columns.micros[each]! <= songMicros);
      return row === undefined ? undefined : endOf(row);
    },
  };
}

interface Unpaired {
  readonly byKey: ReadonlyMap<number, number[]>;
  readonly total: number;
}

function collectUnpaired(
  columns: TimelineColumns,
  wanted: (status: number, data2: number) => boolean,
): Unpaired {
  const byKey = new Map<number, number[]>();
  let total = 0;
  for (let row = 0; row < columns.count; row += 1) {
    if (columns.partner[row] !== NO_PARTNER) continue;
    const status = columns.status[row]!;
    if (!wanted(status, columns.data2[row]!)) continue;
    const place = (status & 0x0f) * 128 + columns.data1[row]!;
    const rows = byKey.get(place);
    if (rows) rows.push(row);
    else byKey.set(place, [row]);
    total += 1;
  }
  return { byKey, total };
}

/** The channel whose unpaired note-off for this key follows the strike soonest. */
function strayChannel(columns: TimelineColumns, strayOffs: Unpaired, row: number, channel: number): number {
  const key = columns.data1[row]!;
  let soonest = Number.POSITIVE_INFINITY;
  let found = -1;
  for (let other = 0; other < 16; other += 1) {
    if (other === channel) continue;
    const off = strayOffs.byKey.get(other * 128 + key)?.find((each) => each > row);
    if (off === undefined || off >= soonest) continue;
    soonest = off;
    found = other;
  }
  return found;
}

function firstRowAt(micros: Float64Array, count: number, wanted: number): number {
  let low = 0;
  let high = count;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (micros[middle]! < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}
