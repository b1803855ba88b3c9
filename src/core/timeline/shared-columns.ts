/**
 * Columns that the sending thread reads without a copy (ECMAScript SharedArrayBuffer). Zero-filled.
 * Memory is claimed by the system only where it is written.
 */
export const sharedF64 = (count: number): Float64Array =>
  new Float64Array(new SharedArrayBuffer(count * Float64Array.BYTES_PER_ELEMENT));

export const sharedU32 = (count: number): Uint32Array =>
  new Uint32Array(new SharedArrayBuffer(count * Uint32Array.BYTES_PER_ELEMENT));

export const sharedU16 = (count: number): Uint16Array =>
  new Uint16Array(new SharedArrayBuffer(count * Uint16Array.BYTES_PER_ELEMENT));

export const sharedU8 = (count: number): Uint8Array => new Uint8Array(new SharedArrayBuffer(count));
