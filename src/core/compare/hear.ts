import type { TimedChunk } from '../capture/byte-dump.ts';
import type { HeardMusic } from './heard-music.ts';
import { HeardReader } from './heard-reader.ts';

/** Bytes with the times at which each piece began. */
export function heardFromChunks(chunks: Iterable<TimedChunk>): HeardMusic {
  const reader = new HeardReader(true);
  for (const { micros, bytes } of chunks) reader.feed(bytes, micros);
  return reader.finish();
}

/** Bytes as they were on the wire, without times. */
export function heardFromBytes(bytes: Uint8Array): HeardMusic {
  const reader = new HeardReader(false);
  reader.feed(bytes, 0);
  return reader.finish();
}
