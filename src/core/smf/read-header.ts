import {
  CHUNK_HEAD,
  chunkName,
  isChunkAt,
  MTHD,
  nearlySongChunkAt,
  nextSongChunk,
  read16,
  read32,
} from './chunk.ts';
import { ASSUMED_TICKS_PER_QUARTER, readDivision } from './division.ts';
import type { FindingList } from './finding-list.ts';
import type { Division } from './song.ts';
import type { SongFindingCode } from './song-findings.ts';

export interface SongHeader {
  readonly format: number;
  /** Tracks the header speaks of; −1 where it says nothing. */
  readonly tracks: number;
  readonly division: Division;
  /** Offset of the first chunk after the header. */
  readonly next: number;
}

const ASSUMED_DIVISION: Division = { kind: 'quarter', ticksPerQuarter: ASSUMED_TICKS_PER_QUARTER };

/** Reads the header chunk at `at` (SMF 1.1, section 2.1), or assumes one where a track stands there. */
export function readHeader(
  bytes: Uint8Array,
  at: number,
  end: number,
  findings: FindingList<SongFindingCode>,
): SongHeader {
  const ticks = ASSUMED_TICKS_PER_QUARTER;
  if (nearlySongChunkAt(bytes, at, end) === MTHD) {
    findings.add('chunk-name', at, { name: chunkName(bytes, at), taken: 'MThd' });
  } else if (read32(bytes, at) !== MTHD) {
    findings.add('header-missing', at, { ticks });
    return { format: 1, tracks: -1, division: ASSUMED_DIVISION, next: at };
  }
  const start = at + CHUNK_HEAD;
  const said = read32(bytes, at + 4);
  const next = endOfHeader(bytes, start, said, end);
  if (said !== 6) findings.add('header-length', at + 4, { said });
  const there = next - start;
  const format = there >= 2 ? read16(bytes, start) : 1;
  const tracks = there >= 4 ? read16(bytes, start + 2) : -1;
  if (format > 2) findings.add('format-unknown', start, { format });
  if (there < 6) {
    findings.add('header-cut-short', start, { ticks });
    return { format, tracks, division: ASSUMED_DIVISION, next };
  }
  return { format, tracks, division: readDivision(read16(bytes, start + 4), start + 4, findings), next };
}

/** A longer header is honoured (SMF 2.1) when a chunk follows it; else the nearest chunk ends it. */
function endOfHeader(bytes: Uint8Array, start: number, said: number, end: number): number {
  const saidEnd = start + said;
  if (said >= 6 && (saidEnd === end || isChunkAt(bytes, saidEnd, end))) {
    return saidEnd;
  }
  const six = Math.min(start + 6, end);
  const near = nextSongChunk(bytes, start, end);
  return near >= 0 && (near < six || said > 6) ? near : six;
}
