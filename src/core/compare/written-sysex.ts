import { StreamParser, SYSEX_FIRST, SYSEX_LAST } from '../midi/stream-parser.ts';
import { classifySysEx, type SysExClass } from '../midi/universal-sysex.ts';
import { isHeldBack, PayloadKind } from '../timeline/payload-kind.ts';
import { payloadOf } from '../timeline/payload-rows.ts';
import type { Timeline, TimelineColumns } from '../timeline/timeline.ts';
import { LONGEST_COMPARED_SYSEX } from './heard-stream.ts';

/**
 * Whether a player sends it. `must`: whatever resets an instrument or stays in force (master volume, tuning …), for what
 * sounds depends on it. `may`: a maker's own, and dumps, which a player may hold back. `none`: what changes nothing that
 * sounds, and what is no whole SysEx, but may come as one.
 */
export type SysExNeed = 'must' | 'may' | 'none';

/** A whole SysEx of the song. */
export interface WrittenSysEx {
  /** Timeline rows of its first and its last packet. */
  readonly row: number;
  readonly lastRow: number;
  readonly micros: number;
  readonly tick: number;
  readonly track: number;
  /** Between F0 and F7. */
  readonly bytes: Uint8Array;
  readonly what: SysExClass;
  readonly need: SysExNeed;
}

const SYSEX = 0xf0;
const END_OF_SYSEX = 0xf7;

/** The SysEx of a song, in playing order. */
export function writtenSysEx({ columns }: Timeline): WrittenSysEx[] {
  const found: WrittenSysEx[] = [];
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if (status !== SYSEX && status !== END_OF_SYSEX) continue;
    const kind = columns.payloadKind[columns.payload[row]!]!;
    if (kind === PayloadKind.broken) {
      for (const bytes of brokenIn(columns, row)) found.push(written(columns, row, row, bytes, 'none'));
      continue;
    }
    // Of one that was cut by whoever took a part of the song only the rest may be there.
    if (status !== SYSEX) continue;
    let last = row;
    while (last < columns.count && !ends(columns, last)) last += 1;
    if (last === columns.count) break;
    const bytes = bytesOf(columns, row, last);
    found.push(written(columns, row, last, bytes, isHeldBack(kind) ? 'may' : needOf(classifySysEx(bytes))));
    row = last;
  }
  return found;
}

/** Of what nobody holds back. */
export function needOf({ reset, lasting }: Pick<SysExClass, 'reset' | 'lasting'>): SysExNeed {
  return reset || lasting ? 'must' : 'none';
}

function written(
  columns: TimelineColumns,
  row: number,
  lastRow: number,
  bytes: Uint8Array,
  need: SysExNeed,
): WrittenSysEx {
  return {
    row,
    lastRow,
    micros: columns.micros[row]!,
    tick: columns.tick[row]!,
    track: columns.track[row]!,
    bytes: bytes.subarray(0, LONGEST_COMPARED_SYSEX),
    what: classifySysEx(bytes),
    need,
  };
}

function ends(columns: TimelineColumns, row: number): boolean {
  return payloadOf(columns, row).at(-1) === END_OF_SYSEX;
}

/** Of a whole message, without its F7. */
function bytesOf(columns: TimelineColumns, first: number, last: number): Uint8Array {
  if (first === last) return payloadOf(columns, first).subarray(0, -1);
  const all: number[] = [];
  for (let row = first; row <= last; row += 1) for (const byte of payloadOf(columns, row)) all.push(byte);
  return Uint8Array.from(all.slice(0, -1));
}

/** As a receiver would read what is no whole SysEx, where somebody sends it as it stands. */
function brokenIn(columns: TimelineColumns, row: number): Uint8Array[] {
  const found: Uint8Array[] = [];
  let open: number[] = [];
  const parser = new StreamParser({
    message: () => {},
    sysEx: (bytes, length, part) => {
      if ((part & SYSEX_FIRST) !== 0) open = [];
      for (let at = 0; at < length; at += 1) if (bytes[at]! < 0x80) open.push(bytes[at]!);
      if ((part & SYSEX_LAST) !== 0) found.push(Uint8Array.from(open));
    },
    fault: () => {},
  });
  if (columns.status[row] === SYSEX) parser.feed(Uint8Array.of(SYSEX));
  parser.feed(payloadOf(columns, row));
  parser.finish();
  return found;
}
