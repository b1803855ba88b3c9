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
  if (at + CHUNK_HEAD > end) return false;
  const type = read32(bytes, at);
  return type === MTRK || type === MTHD;
}

/**
 * MTHD or MTRK where a chunk begins whose name is that but for one damaged byte and whose length fits; else 0.
 */
export function nearlySongChunkAt(bytes: Uint8Array, at: number, end: number): number {
  if (!fitsAt(bytes, at, end)) return 0;
  const name = read32(bytes, at);
  return [MTRK, MTHD].find((type) => name !== type && differInOneByte(name, type)) ?? 0;
}

function differInOneByte(a: number, b: number): boolean {
  const difference = a ^ b;
  return [0x00ff_ffff, 0xff00_ffff, 0xffff_00ff, 0xffff_ff00].some((mask) => (difference & mask) === 0);
}

function fitsAt(bytes: Uint8Array, at: number, end: number): boolean {
  return at + CHUNK_HEAD <= end && at + CHUNK_HEAD + read32(bytes, at + 4) <= end;
}

/** True where a chunk of any kind may begin. */
export function isChunkAt(bytes: Uint8Array, at: number, end: number): boolean {
  return (
    isSongChunkAt(bytes, at, end) || isAlienChunkAt(bytes, at, end) || nearlySongChunkAt(bytes, at, end) !== 0
  );
}

/**
 * True where a chunk of another kind may begin: four printable characters and a length that fits. SMF 1.3
 * asks that these be skipped; it names no other types, so their look is all there is to go by.
 */
export function isAlienChunkAt(bytes: Uint8Array, at: number, end: number): boolean {
  if (!fitsAt(bytes, at, end) || isSongChunkAt(bytes, at, end)) return false;
  for (let i = at; i < at + 4; i += 1) {
    if (bytes[i]! < 0x20 || bytes[i]! > 0x7e) return false;
  }
  return true;
}

/** The four characters a chunk is named by, with dots for what cannot be printed. */
export function chunkName(bytes: Uint8Array, at: number): string {
  return Array.from(bytes.subarray(at, at + 4), (byte) =>
    byte >= 0x20 && byte <= 0x7e ? String.fromCharCode(byte) : '.',
  ).join('');
}

/** Offset of the next header or track chunk at or after `from`, or −1. */
export function nextSongChunk(bytes: Uint8Array, from: number, end: number): number {
  const last = end - CHUNK_HEAD;
  for (let at = from; at <= last; at += 1) {
    if (bytes[at] === 0x4d && isSongChunkAt(bytes, at, end)) return at;
  }
  return -1;
}
