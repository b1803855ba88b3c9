import { hexText } from '../midi/hex-text.ts';
import { META_KINDS, Meta } from './meta-kinds.ts';
import { goesOnAt, resync } from './resync.ts';
import { CUT_SHORT, type TrackCursor } from './track-cursor.ts';

/** Reads a meta event whose FF stands at `at`; the cursor stands behind it. */
export function readMeta(cursor: TrackCursor, at: number): void {
  const { bytes, limit, findings } = cursor;
  cursor.runningCancelled = true;
  if (cursor.pos >= limit) {
    findings.add('event-cut-short', at, { track: cursor.track });
    return;
  }
  const type = bytes[cursor.pos]!;
  if (type >= 0x80) {
    findings.add('meta-type-high', at, { hex: hexText([type]) });
    cursor.pos = resync(cursor, cursor.pos);
    return;
  }
  cursor.pos += 1;
  const said = cursor.readLength();
  if (said === CUT_SHORT) {
    findings.add('event-cut-short', at, { track: cursor.track });
    return;
  }
  const start = cursor.pos;
  const { name, lengths } = META_KINDS[type]!;
  let length = said;
  if (start + said > limit) {
    length = likelyLength(cursor, start, said, lengths);
    findings.add('meta-cut', at, { name, said, found: length });
  } else if (lengths !== undefined && !lengths.includes(said)) {
    // Where both leave the track in order, the shorter one loses less.
    const [short, long] = [said, lengths[0]!].sort((a, b) => a - b) as [number, number];
    length = [short, long].find((candidate) => goesOnAt(cursor, start + candidate)) ?? said;
    findings.add('meta-length', at, { name, said, expected: lengths.join(' or '), found: length });
  }
  cursor.columns.addPayload(cursor.tick, 0xff, type, start, length);
  cursor.pos = start + length;
  if (type === Meta.endOfTrack) cursor.ended = true;
}

/** The length was larger than the track: what the standard says, else up to where events begin again. */
function likelyLength(
  cursor: TrackCursor,
  start: number,
  said: number,
  lengths: readonly number[] | undefined,
): number {
  if (cursor.isFileCutIn(start + said)) return cursor.limit - start;
  const standard = lengths?.[0];
  if (standard !== undefined && start + standard <= cursor.limit) return standard;
  return resync(cursor, start) - start;
}
