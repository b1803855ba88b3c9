import type { Instrument, KeyRange } from '../../instrument/instrument.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import { NO_PARTNER, type TimelineColumns } from '../../timeline/timeline.ts';
import { KeyClashes } from './key-clashes.ts';
import type { KeyMove } from './moves.ts';
import type { RowEdits } from './row-edits.ts';

export interface KeyFit {
  readonly moves: readonly KeyMove[];
  /** Note-on rows: no octave of it is there, or its new key is taken. */
  readonly withoutKey: readonly number[];
  readonly keyTaken: readonly number[];
}

/** Moving a note of a part counts like so much of leaving a single one where its line breaks. */
const MOVE_SHARE = 0.1;

/**
 * Keys outside the range go by octaves: a part (a channel with a program) as a whole where most of it is outside or
 * nothing breaks its line, else the notes alone. A note whose new key sounds already on its channel is left out.
 */
export function fitKeys(
  columns: TimelineColumns,
  edits: RowEdits,
  instrument: Instrument,
  drumChannels: readonly number[],
): KeyFit {
  const { status, data1, data2, partner, count } = columns;
  const parts = partKeys(columns, drumChannels);
  const shifts = new Map<number, number>();
  for (const [part, keys] of parts) shifts.set(part, shiftOf(keys, rangeOf(instrument, part & 127)));
  const moves = new Map<string, KeyMove>();
  const withoutKey: number[] = [];
  const clashes = new KeyClashes(columns);
  const program = new Uint8Array(16);
  for (let row = 0; row < count; row += 1) {
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 15;
    if (kind === 0xc0) program[channel] = data1[row]!;
    if (kind > 0xa0 || drumChannels.includes(channel)) continue;
    if (isNoteOff(columns, row) && partner[row] !== NO_PARTNER) continue;
    const key = data1[row]!;
    const range = rangeOf(instrument, program[channel]!);
    const shift = shifts.get(channel * 128 + program[channel]!) ?? 0;
    const to = folded(key + 12 * shift, range);
    if (to === undefined) {
      dropNote(columns, edits, row);
      if (isNoteOn(columns, row)) withoutKey.push(row);
      continue;
    }
    if (isNoteOn(columns, row)) clashes.add(row, channel, to, to !== key);
    if (to === key) continue;
    edits.put(row, status[row]!, to, data2[row]!);
    const off = partner[row]!;
    if (kind === 0x90 && off !== NO_PARTNER) edits.put(off, status[off]!, to, data2[off]!);
    if (isNoteOn(columns, row)) gather(moves, channel, to === key + 12 * shift ? 'part' : 'note', key, to);
  }
  const keyTaken = clashes.losers();
  for (const row of keyTaken) dropNote(columns, edits, row);
  return { moves: [...moves.values()], withoutKey, keyTaken };
}

function dropNote({ partner }: TimelineColumns, edits: RowEdits, row: number): void {
  edits.drop(row);
  if (partner[row] !== NO_PARTNER) edits.drop(partner[row]!);
}

/** How often each key is struck, by channel · 128 + program. */
function partKeys(columns: TimelineColumns, drumChannels: readonly number[]): Map<number, Uint32Array> {
  const { status, data1, count } = columns;
  const parts = new Map<number, Uint32Array>();
  const program = new Uint8Array(16);
  for (let row = 0; row < count; row += 1) {
    const channel = status[row]! & 15;
    if ((status[row]! & 0xf0) === 0xc0) program[channel] = data1[row]!;
    if (!isNoteOn(columns, row) || drumChannels.includes(channel)) continue;
    const part = channel * 128 + program[channel]!;
    let keys = parts.get(part);
    if (keys === undefined) {
      keys = new Uint32Array(128);
      parts.set(part, keys);
    }
    keys[data1[row]!]! += 1;
  }
  return parts;
}

/** Octaves that the whole part goes up: least notes alone, and least moved. */
function shiftOf(keys: Uint32Array, range: KeyRange): number {
  const all = keys.reduce((sum, count) => sum + count, 0);
  let best = 0;
  let least = outside(keys, range, 0);
  if (least === 0) return 0;
  for (const shift of [1, -1, 2, -2, 3, -3, 4, -4, 5, -5]) {
    const cost = outside(keys, range, shift) + MOVE_SHARE * all * Math.abs(shift);
    if (cost >= least) continue;
    least = cost;
    best = shift;
  }
  return best;
}

function outside(keys: Uint32Array, { low, high }: KeyRange, shift: number): number {
  return keys.reduce((sum, count, key) => {
    const to = key + 12 * shift;
    return to < low || to > high ? sum + count : sum;
  }, 0);
}

function folded(key: number, { low, high }: KeyRange): number | undefined {
  let to = key;
  while (to < low) to += 12;
  while (to > high) to -= 12;
  return to >= low ? to : undefined;
}

/** Programs are numbered alike in all banks here: the narrowest range said for the number holds. */
function rangeOf({ banks, keys }: Instrument, number: number): KeyRange {
  let { low, high } = keys;
  for (const { programs } of banks) {
    const own = programs.find((program) => program.number === number)?.keys;
    if (own === undefined) continue;
    low = Math.max(low, own.low);
    high = Math.min(high, own.high);
  }
  return low <= high ? { low, high } : keys;
}

function gather(
  moves: Map<string, KeyMove>,
  channel: number,
  what: KeyMove['what'],
  from: number,
  to: number,
): void {
  const id = what === 'part' ? `${channel} part ${to - from}` : `${channel} ${from} ${to}`;
  const move = moves.get(id) ?? { channel, what, from, to, notes: 0 };
  move.notes += 1;
  moves.set(id, move);
}
