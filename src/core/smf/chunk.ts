/** Chunk types as they stand in the file, read as one big-endian number (SMF 1.1, section 1.3). */
export const MTHD = 0x4d54_6864;
export const MTRK = 0x4d54_726b;

/** Type and length together. */
export const CHUNK_HEAD = 8;

/** Big-endian 32 bits, unsigned. The caller knows that four bytes are there. */
export function read32(bytes: Uint8Array, at: number): number {
  return (((bytes[at]! << 24) | (bytes[at + 1]! << 16) | (bytes[at + 2]! << 8) | bytes[at + 3]!) >>>
    0) as number;
}

/** Big-endian 16 bits. */
export function read16(bytes: Uint8Array, at: number): number {
  return (bytes[at]! << 8) | bytes[at + 1]!;
}

/** True where a header or track chunk begins and its length is there too. */
export function isSongChunkAt(bytes: Uint8Array, at: number, end: number): boolean {
  if (at < 0 || at + CHUNK_HEAD > end) return false;
  const type = read32(bytes, at);
  return type === MTRK || type === MTHD;
}

/**
 * True where a chunk of another kind may begin: four printable characters and a length that fits. SMF 1.3
 * asks that these be skipped; it names no other types, so their look is all there is to go by.
 */
export function isAlienChunkAt(bytes: Uint8Array, at: number, end: number): boolean {
  if (at < 0 || at + CHUNK_HEAD > end || isSongChunkAt(bytes, at, end)) return false;
  for (let i = at; i < at + 4; i++) {
    if (bytes[i]! < 0x20 || bytes[i]! > 0x7e) return false;
  }
  return at + CHUNK_HEAD + read32(bytes, at + 4) <= end;
}

/** Offset of the next header or track chunk at or after `from`, or −1. */
export function nextSongChunk(bytes: Uint8Array, from: number, end: number): number {
  const last = end - CHUNK_HEAD;
  for (let at = from; at <= last; at++) {
    if (bytes[at] === 0x4d && isSongChunkAt(bytes, at, end)) return at;
  }
  return -1;
}
