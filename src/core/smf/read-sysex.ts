import { resync } from './resync.ts';
import { CUT_SHORT, type TrackCursor } from './track-cursor.ts';

const EOX = 0xf7;

/**
 * A length this far from where the F7 stands was never a length: some writers store SysEx as it is on the
 * wire (F0, data, F7) and leave the length out, so that a maker's id is taken for it.
 */
const NO_LENGTH_AT_ALL = 8;

/** Reads an F0 event; the cursor stands behind the F0, which stands at `at` (SMF 1.1, section 2.3). */
export function readSysEx(cursor: TrackCursor, at: number): void {
  const { bytes, limit, findings } = cursor;
  cursor.runningCancelled = true;
  const lengthAt = cursor.pos;
  const said = cursor.readLength();
  if (said === CUT_SHORT) {
    findings.add('event-cut-short', at, { track: cursor.track });
    return;
  }
  const start = cursor.pos;
  const end = start + said;
  if (end <= limit && said > 0 && bytes[end - 1] === EOX) {
    if (firstStatus(bytes, start, end) < end - 1) findings.add('sysex-status-bytes', at);
    keep(cursor, start, end);
    return;
  }

  const stop = firstStatus(bytes, start, Math.min(end, limit));
  if (stop === end) readOpenPacket(cursor, at, lengthAt, start, end);
  else if (bytes[stop] === EOX && stop < limit) {
    // The F7 comes too early: the length is wrong, or it is none.
    const first = end > limit || end - stop > NO_LENGTH_AT_ALL ? lengthAt : start;
    findings.add('sysex-length', at, { said, found: stop + 1 - first });
    keep(cursor, first, stop + 1);
  } else {
    // Either the file ends here, or the length swallows the events that follow.
    const found = cursor.isFileCutIn(end) ? limit : resync(cursor, start);
    findings.add('sysex-length', at, { said, found: found - start });
    keep(cursor, start, found);
  }
}

/** An F7 event: the rest of an open SysEx, or an escape that holds anything. */
export function readContinuation(cursor: TrackCursor, at: number): void {
  const { limit, findings } = cursor;
  cursor.runningCancelled = true;
  const said = cursor.readLength();
  if (said === CUT_SHORT) {
    findings.add('event-cut-short', at, { track: cursor.track });
    return;
  }
  const start = cursor.pos;
  const end = start + said;
  if (end > limit) {
    findings.add('continuation-alone', at, { said });
    cursor.pos = cursor.isFileCutIn(end) ? limit : resync(cursor, start);
    return;
  }
  cursor.columns.addPayload(cursor.tick, EOX, 0, start, said);
  cursor.pos = end;
}

/** The packet holds data only, as the first of several does; two ways of getting a length wrong look alike. */
function readOpenPacket(cursor: TrackCursor, at: number, lengthAt: number, start: number, end: number): void {
  const { bytes, limit, findings } = cursor;
  const said = end - start;
  if (said === 0) {
    // A maker's id that begins with 00, taken for a length: no event can begin with two data bytes here.
    const stop = firstStatus(bytes, start, limit);
    if (stop < limit && bytes[stop] === EOX && stop - start >= 2) {
      findings.add('sysex-length', at, { said, found: stop + 1 - lengthAt });
      keep(cursor, lengthAt, stop + 1);
      return;
    }
  }
  if (end < limit && bytes[end] === EOX && !isContinuedAt(cursor, end)) {
    findings.add('sysex-length', at, { said, found: said + 1 });
    keep(cursor, start, end + 1);
    return;
  }
  keep(cursor, start, end);
}

/** True where a delta time (four bytes at most) and then an F7 event stand. */
function isContinuedAt({ bytes, limit }: TrackCursor, at: number): boolean {
  let i = at;
  while (i < limit && i < at + 3 && bytes[i]! >= 0x80) i += 1;
  return i + 1 < limit && bytes[i + 1] === EOX;
}

function keep(cursor: TrackCursor, start: number, end: number): void {
  cursor.columns.addPayload(cursor.tick, 0xf0, 0, start, end - start);
  cursor.pos = end;
}

/** Offset of the first byte that is neither data nor real-time (FF begins a meta event here), or `end`. */
function firstStatus(bytes: Uint8Array, start: number, end: number): number {
  for (let i = start; i < end; i += 1) {
    const byte = bytes[i]!;
    if (byte >= 0x80 && (byte < 0xf8 || byte === 0xff)) return i;
  }
  return end;
}
