import { isNoteOn } from '../timeline/note-row.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { ValueStreams } from './value-streams.ts';
import { withoutRows } from './without-rows.ts';

/** Why a message may be left out. */
export type ThinReason =
  /** It says what holds already. */
  | 'repeated'
  /** Another one of its kind follows at the same moment, with no note between. */
  | 'superseded'
  /** It differs by no more than the tolerance from what was sent, and is followed by another at once. */
  | 'within-tolerance';

/** How many messages of one kind were left out, and why. */
export interface Reduction {
  readonly channel: number;
  readonly message: 'controller' | 'program' | 'channel-pressure' | 'key-pressure' | 'bend';
  /** Controller number; -1 for other messages. */
  readonly number: number;
  readonly reason: ThinReason;
  readonly count: number;
}

export interface Thinned {
  readonly columns: TimelineColumns;
  /** Rows of the columns given that were left out, in order. */
  readonly dropped: Uint32Array;
  /** By channel, message and reason. */
  readonly reductions: readonly Reduction[];
}

/** A value that another one follows within this time is passing through; one that stays longer is meant. */
const PASSING_MICROS = 50_000;

/**
 * Leaves out what the instrument can do without. Pure; the columns given are not changed.
 *
 * - Repeated values and programs go always (`tolerance` 0 does only this, and what is superseded).
 * - Of a controller, bend or pressure on the move, values within `tolerance` of the last one sent go: steps of
 *   128 for seven-bit values, and as large a share of the range for bends. Where it comes to rest, and at each
 *   note-on of its channel, the value is exact.
 * - Never touched: pedals and other switches, bank select, data entry, parameter numbers, mode messages, notes,
 *   SysEx, and a controller whose fine half (number + 32) the channel uses.
 *
 * @param tolerance largest difference from the file's value, in steps of 128
 */
export function thin(columns: TimelineColumns, tolerance: number): Thinned {
  const { count, micros, status } = columns;
  const drop = new Uint8Array(count);
  const streams = new ValueStreams(columns);
  const counts = new Map<string, Reduction>();

  const leaveOut = (row: number, reason: ThinReason) => {
    drop[row] = 1;
    const reduction = reductionOf(columns, row, reason);
    const key = `${reduction.channel} ${reduction.message} ${reduction.number} ${reason}`;
    counts.set(key, { ...reduction, count: (counts.get(key)?.count ?? 0) + 1 });
  };

  for (let row = 0; row < count; row += 1) {
    if (status[row]! >= 0xf0) {
      streams.forgetAll();
      continue;
    }
    const channel = status[row]! & 0x0f;
    if (isNoteOn(columns, row)) streams.settle(channel);
    if (streams.isRepeatedProgram(row)) leaveOut(row, 'repeated');
    const stream = streams.streamOf(row);
    if (stream < 0) continue;
    const pending = streams.pendingRow(stream);
    if (pending >= 0) {
      // The pending value was not needed if this one takes its place soon enough.
      const wait = micros[row]! - micros[pending]!;
      if (wait === 0) leaveOut(pending, 'superseded');
      else if (wait <= PASSING_MICROS && streams.distance(stream, pending) <= tolerance)
        leaveOut(pending, 'within-tolerance');
      else streams.send(stream, pending);
    }
    if (streams.distance(stream, row) === 0) {
      leaveOut(row, 'repeated');
      streams.clear(stream);
    } else {
      streams.wait(stream, row);
    }
  }
  return { columns: withoutRows(columns, drop), dropped: rowsOf(drop), reductions: [...counts.values()] };
}

const MESSAGES: Readonly<Record<number, Reduction['message']>> = {
  160: 'key-pressure',
  176: 'controller',
  192: 'program',
  208: 'channel-pressure',
  224: 'bend',
};

function reductionOf(columns: TimelineColumns, row: number, reason: ThinReason): Reduction {
  const status = columns.status[row]!;
  const message = MESSAGES[status & 0xf0]!;
  const number = message === 'controller' ? columns.data1[row]! : -1;
  return { channel: status & 0x0f, message, number, reason, count: 0 };
}

function rowsOf(drop: Uint8Array): Uint32Array {
  const rows: number[] = [];
  for (let row = 0; row < drop.length; row += 1) if (drop[row] === 1) rows.push(row);
  return Uint32Array.from(rows);
}
