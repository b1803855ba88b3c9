import { microsPerByte } from '../core/wire/wire-traits.ts';
import type { InputPort } from '../ports/input-port.ts';

/** What takes bytes with their time: a record, or whoever compares. */
export interface ChunkSink {
  /** @param micros run time at which the byte at `start` began */
  feed(port: number, bytes: Uint8Array, start: number, end: number, micros: number): void;
}

/** The record gets each byte with the time at which it began on the wire, where that can be told. */
export function recordChunk(
  recording: ChunkSink | undefined,
  input: InputPort,
  chunk: Uint8Array,
  arrivedMicros: number,
): void {
  if (recording === undefined) return;
  if (!input.paced) {
    recording.feed(0, chunk, 0, chunk.length, arrivedMicros);
    return;
  }
  const byteMicros = microsPerByte(input.wire);
  for (let at = 0; at < chunk.length; at += 1) {
    recording.feed(0, chunk, at, at + 1, Math.max(0, arrivedMicros - (chunk.length - at) * byteMicros));
  }
}
