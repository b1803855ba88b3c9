import type { Instrument } from '../../instrument/instrument.ts';
import { isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { KeyMove } from './moves.ts';
import { nearestDrumKey } from './nearest-drum-key.ts';
import type { RowEdits } from './row-edits.ts';

export interface DrumKeyFit {
  readonly moves: readonly KeyMove[];
  /** Note-on rows of sounds that nothing stands in for, and of all drums where there are none. */
  readonly withoutSound: readonly number[];
  readonly withoutDrums: readonly number[];
}

/** Drum sounds that are not there become the nearest that are, or are left out. */
export function fitDrumKeys(
  columns: TimelineColumns,
  edits: RowEdits,
  { drums }: Instrument,
  drumChannels: readonly number[],
): DrumKeyFit {
  const { count, status, data1, data2 } = columns;
  const moves = new Map<string, KeyMove>();
  const withoutSound: number[] = [];
  const withoutDrums: number[] = [];
  const hasNone = drums.channels.length === 0;
  for (let row = 0; row < count; row += 1) {
    const channel = status[row]! & 15;
    if (status[row]! >= 0xf0 || !drumChannels.includes(channel)) continue;
    const kind = status[row]! & 0xf0;
    if (hasNone) {
      if (isNoteOn(columns, row)) withoutDrums.push(row);
      edits.drop(row);
      continue;
    }
    if (kind > 0xa0) continue;
    const from = data1[row]!;
    const to = nearestDrumKey(from, drums.keys);
    if (to === undefined) {
      if (isNoteOn(columns, row)) withoutSound.push(row);
      edits.drop(row);
    } else if (to !== from) {
      edits.put(row, status[row]!, to, data2[row]!);
      if (!isNoteOn(columns, row)) continue;
      const id = `${channel} ${from}`;
      const move = moves.get(id) ?? { channel, what: 'drum', from, to, notes: 0 };
      move.notes += 1;
      moves.set(id, move);
    }
  }
  return { moves: [...moves.values()], withoutSound, withoutDrums };
}
