import { microsPerByte } from '../core/wire/wire-traits.ts';
import type { Recording } from '../files/recording.ts';
import type { InputPort } from '../ports/input-port.ts';

/** The record gets each byte with the time at which it began on the wire, where that can be told. */
export function recordChunk(
  recording: Recording | undefined,
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
