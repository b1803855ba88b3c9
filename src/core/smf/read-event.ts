import { hexText } from '../midi/hex-text.ts';
import { DATA_BYTES, STATUS_TABLE } from '../midi/status.ts';
import { readMeta } from './read-meta.ts';
import { readContinuation, readSysEx } from './read-sysex.ts';
import { resync } from './resync.ts';
import { CUT_SHORT, type TrackCursor } from './track-cursor.ts';

/** Reads one event of any kind, sound or damaged. Always moves on by at least one byte. */
export function readEvent(cursor: TrackCursor): void {
  const { bytes, limit } = cursor;
  const start = cursor.pos;
  const delta = cursor.readLength();
  if (delta === CUT_SHORT || cursor.pos >= limit) {
    cutShort(cursor, start);
    return;
  }
  cursor.advance(delta, start);

  const at = cursor.pos;
  const first = bytes[at]!;
  if (first < 0xf0) {
    readChannelEvent(cursor, start, first);
    return;
  }
  cursor.pos = at + 1;
  if (first === 0xf7) readContinuation(cursor, at);
  else if (first === 0xff) readMeta(cursor, at);
  else if (first === 0xf0) readSysEx(cursor, at);
  else skipSystemMessage(cursor, at);
}

function readChannelEvent(cursor: TrackCursor, start: number, first: number): void {
  const { findings } = cursor;
  const at = cursor.pos;
  let status = first;
  if (first >= 0x80) cursor.pos += 1;
  else {
    status = cursor.running;
    if (status === 0) {
      cursor.pos = resync(cursor, at);
      findings.add('status-missing', at, { count: cursor.pos - at });
      return;
    }
    if (cursor.runningCancelled) findings.add('running-status-cancelled', at);
  }
  cursor.running = status;
  cursor.runningCancelled = false;

  const data1 = readDataByte(cursor);
  const data2 = DATA_BYTES[status] === 2 ? readDataByte(cursor) : 0;
  if (data1 === CUT_SHORT || data2 === CUT_SHORT) {
    cutShort(cursor, start);
    return;
  }
  addChannelEvent(cursor, at, status, data1, data2);
}

function addChannelEvent(
  cursor: TrackCursor,
  at: number,
  status: number,
  data1: number,
  data2: number,
): void {
  const { name } = STATUS_TABLE[status]!;
  // In D0 and E0 the first data byte is an amount as well; elsewhere it says which key, controller, program.
  const firstIsAmount = status >= 0xd0;
  if (data1 >= 0x80 && !firstIsAmount) {
    cursor.findings.add('data-byte-high', at, { name, value: data1 });
    return;
  }
  if (data1 >= 0x80) cursor.findings.add('value-high', at, { name, value: data1 });
  if (data2 >= 0x80) cursor.findings.add('value-high', at, { name, value: data2 });
  cursor.columns.addChannel(cursor.tick, status, Math.min(data1, 127), Math.min(data2, 127));
}

/** The next byte; real-time bytes, which a wire allows even here but a file does not, are left out. */
function readDataByte(cursor: TrackCursor): number {
  while (cursor.pos < cursor.limit) {
    const at = cursor.pos++;
    const byte = cursor.bytes[at]!;
    if (byte < 0xf8 || byte === 0xff) return byte;
    cursor.findings.add('real-time-inside', at, { name: STATUS_TABLE[byte]!.name, hex: hexText([byte]) });
  }
  return CUT_SHORT;
}

/** F1–F6 and F8–FE: a file can hold these only inside an F7 event (SMF 2.3). */
function skipSystemMessage(cursor: TrackCursor, at: number): void {
  const { bytes, limit } = cursor;
  const status = bytes[at]!;
  const { name, dataBytes } = STATUS_TABLE[status]!;
  const end = Math.min(at + 1 + dataBytes, limit);
  while (cursor.pos < end && bytes[cursor.pos]! < 0x80) cursor.pos += 1;
  cursor.findings.add('system-message', at, () => ({ name, hex: hexText([status]) }));
}

function cutShort(cursor: TrackCursor, at: number): void {
  cursor.findings.add('event-cut-short', at, { track: cursor.track });
  cursor.pos = cursor.limit;
}
