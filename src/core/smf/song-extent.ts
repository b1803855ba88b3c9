import { CHUNK_HEAD, MTHD, MTRK, nearlySongChunkAt, nextSongChunk, read32 } from './chunk.ts';
import type { FindingList } from './finding-list.ts';
import type { SongFindingCode } from './song-findings.ts';

/** Where in the file the song's chunks lie. */
export interface SongExtent {
  readonly start: number;
  readonly end: number;
}

const RIFF = 0x5249_4646;
const RMID = 0x524d_4944;
const DATA = 0x6461_7461;

/**
 * Finds the song in the bytes: at their beginning, in a RIFF RMID wrapper (MMA RP-029, from memory), or behind
 * a prefix of any kind.
 * @returns undefined where no header and no track is to be found
 */
export function findSongExtent(
  bytes: Uint8Array,
  from: number,
  findings: FindingList<SongFindingCode>,
): SongExtent | undefined {
  const end = bytes.length;
  const type = from + CHUNK_HEAD <= end ? read32(bytes, from) : 0;
  if (type === MTHD || type === MTRK) return { start: from, end };
  if (nearlySongChunkAt(bytes, from, end) !== 0) return { start: from, end };
  if (from === 0) {
    const wrapped = riffData(bytes);
    if (wrapped !== undefined) {
      findings.add('riff-wrapper', 0);
      return wrapped;
    }
  }
  const start = nextPlausibleChunk(bytes, from, end);
  if (start < 0) return undefined;
  findings.add('bytes-before-header', from, { count: start - from });
  return { start, end };
}

/** The `data` chunk of a RIFF file of form RMID, where that holds a song. RIFF numbers are little-endian. */
function riffData(bytes: Uint8Array): SongExtent | undefined {
  const size = bytes.length;
  if (size < 20 || read32(bytes, 0) !== RIFF || read32(bytes, 8) !== RMID) return undefined;
  let at = 12;
  while (at + CHUNK_HEAD < size) {
    const length = littleEndian32(bytes, at + 4);
    const start = at + CHUNK_HEAD;
    if (read32(bytes, at) === DATA) {
      const end = length === 0 || start + length > size ? size : start + length;
      return start + 4 <= end && read32(bytes, start) === MTHD ? { start, end } : undefined;
    }
    // Chunks are padded to an even length.
    at = start + length + (length % 2);
  }
  return undefined;
}

/**
 * The next header or track chunk that is not just those four letters in a text: its length is 0, below
 * 16,777,216, or the all-ones that some writers leave behind, so that its first byte is no printable one.
 */
function nextPlausibleChunk(bytes: Uint8Array, from: number, end: number): number {
  let at = nextSongChunk(bytes, from, end);
  while (at >= 0 && bytes[at + 4] !== 0 && bytes[at + 4] !== 0xff) at = nextSongChunk(bytes, at + 4, end);
  return at;
}

function littleEndian32(bytes: Uint8Array, at: number): number {
  return (bytes[at]! | (bytes[at + 1]! << 8) | (bytes[at + 2]! << 16) | (bytes[at + 3]! << 24)) >>> 0;
}
