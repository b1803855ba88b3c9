import { CHUNK_HEAD, isChunkAt, nextSongChunk, read32 } from './chunk.ts';
import type { FindingList, FindingMark } from './finding-list.ts';
import { readChannelRun } from './read-channel-run.ts';
import { readEvent } from './read-event.ts';
import { goesOnAt } from './resync.ts';
import type { ColumnsMark, SongColumns } from './song-columns.ts';
import type { SongFindingCode } from './song-findings.ts';
import { type CursorExtent, TrackCursor } from './track-cursor.ts';

type Findings = FindingList<SongFindingCode>;

/** What the chunk says of itself, and whether it is to be believed. */
interface TrackExtent extends CursorExtent {
  readonly at: number;
  readonly said: number;
  /** The file or another chunk ends or begins where the length says: then events end there too. */
  readonly trusted: boolean;
}

/**
 * Reads the track chunk at `at` into the columns.
 * @param end of the song's bytes
 * @returns offset at which to look for the next chunk
 */
export function readTrack(
  bytes: Uint8Array,
  at: number,
  end: number,
  columns: SongColumns,
  findings: Findings,
): number {
  columns.beginTrack();
  const extent = extentOf(bytes, at, end);
  const cursor = new TrackCursor(bytes, columns, findings, extent);
  readEvents(cursor, extent);
  if (cursor.ended && goesOn(cursor, extent)) {
    findings.add('events-after-end-of-track', cursor.pos, { track: cursor.track });
    while (cursor.ended && cursor.pos < extent.saidEnd) {
      columns.dropLast();
      cursor.ended = false;
      readEvents(cursor, extent);
    }
  }
  return afterTrack(cursor, extent, end);
}

function extentOf(bytes: Uint8Array, at: number, end: number): TrackExtent {
  const start = at + CHUNK_HEAD;
  const said = read32(bytes, at + 4);
  const saidEnd = start + said;
  const trusted = saidEnd === end || isChunkAt(bytes, saidEnd, end);
  if (trusted) return { at, start, said, saidEnd, trusted, limit: saidEnd };
  const next = nextSongChunk(bytes, start, end);
  return { at, start, said, saidEnd, trusted, limit: next < 0 ? end : next };
}

/**
 * Reads until end-of-track or the limit. When events fall exactly on the end that the chunk gives, though no
 * chunk follows there, what lies behind may be events or rubbish: an end-of-track among it decides.
 */
function readEvents(cursor: TrackCursor, { saidEnd }: TrackExtent): void {
  const { columns, findings } = cursor;
  let there: { readonly columns: ColumnsMark; readonly findings: FindingMark } | undefined;
  while (cursor.pos < cursor.limit && !cursor.ended && !columns.isFull) {
    const before = cursor.pos;
    if (before === saidEnd) there = { columns: columns.mark(), findings: findings.mark() };
    readChannelRun(cursor);
    if (cursor.pos === before) readEvent(cursor);
  }
  if (cursor.ended || there === undefined) return;
  columns.backTo(there.columns);
  findings.backTo(there.findings);
  cursor.pos = saidEnd;
}

/**
 * Events after an end-of-track are music only if the first has its status, and if the chunk itself ends, as it must,
 * with another end-of-track.
 */
function goesOn(cursor: TrackCursor, { trusted, saidEnd }: TrackExtent): boolean {
  const { bytes, pos } = cursor;
  if (!trusted || nextSongChunk(bytes, pos, saidEnd) >= 0 || !goesOnAt(cursor, pos)) return false;
  return (
    saidEnd - pos > 4 &&
    bytes[saidEnd - 3] === 0xff &&
    bytes[saidEnd - 2] === 0x2f &&
    bytes[saidEnd - 1] === 0
  );
}

/** Says how the track ended, and where to go on. */
function afterTrack(cursor: TrackCursor, extent: TrackExtent, end: number): number {
  const { bytes, columns, findings, track, pos, ended } = cursor;
  const { at, start, said, saidEnd, trusted } = extent;
  if (columns.isFull) return end;
  const found = pos - start;
  if (ended && pos === saidEnd) return pos;

  if (trusted) {
    if (!ended) {
      findings.add('end-of-track-missing', pos, { track });
      return saidEnd;
    }
    const swallowed = nextSongChunk(bytes, pos, saidEnd);
    if (swallowed < 0) {
      findings.add('bytes-after-end-of-track', pos, { track, count: saidEnd - pos });
      return saidEnd;
    }
  } else if (!ended && pos === end && saidEnd > end) {
    findings.add('track-cut-short', at, { track, said, found });
    return end;
  }
  if (pos !== saidEnd) findings.add('track-length', at, { track, said, found });
  if (!ended) findings.add('end-of-track-missing', pos, { track });
  return pos;
}
