import {
  CHUNK_HEAD,
  chunkName,
  isAlienChunkAt,
  isSongChunkAt,
  MTHD,
  MTRK,
  nearlySongChunkAt,
  nextSongChunk,
  read32,
} from './chunk.ts';
import type { FindingList } from './finding-list.ts';
import { readTrack } from './read-track.ts';
import { MOST_EVENTS, type SongColumns } from './song-columns.ts';
import type { SongFindingCode } from './song-findings.ts';

/** What the header's 16-bit count can say. */
const MOST_TRACKS = 65_535;

/**
 * Reads every track from `start` on, and steps over what is none (SMF 1.1, section 1.3).
 * @returns offset at which reading ended: `end`, or a second song's header
 */
export function readChunks(
  bytes: Uint8Array,
  start: number,
  end: number,
  columns: SongColumns,
  findings: FindingList<SongFindingCode>,
): number {
  let at = start;
  while (at < end && !columns.isFull) {
    const nearly = nearlySongChunkAt(bytes, at, end);
    if (nearly === MTRK) findings.add('chunk-name', at, { name: chunkName(bytes, at), taken: 'MTrk' });
    if (nearly === MTRK || isSongChunkAt(bytes, at, end)) {
      if (read32(bytes, at) === MTHD) {
        findings.add('second-song', at);
        return at;
      }
      if (columns.trackCount === MOST_TRACKS) {
        findings.add('tracks-too-many', at, { limit: MOST_TRACKS });
        return end;
      }
      at = readTrack(bytes, at, end, columns, findings);
    } else if (isAlienChunkAt(bytes, at, end)) {
      const count = read32(bytes, at + 4);
      const where = at;
      findings.add('alien-chunk', where, () => ({ name: chunkName(bytes, where), count }));
      at += CHUNK_HEAD + count;
    } else {
      const next = nextSongChunk(bytes, at, end);
      if (next < 0) {
        findings.add('trailing-bytes', at, { count: end - at });
        return end;
      }
      findings.add('bytes-between-chunks', at, { count: next - at });
      at = next;
    }
  }
  if (columns.isFull) findings.add('events-too-many', at, { limit: MOST_EVENTS });
  return end;
}
