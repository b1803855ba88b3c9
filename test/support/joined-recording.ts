import type { TimedChunk } from '../../src/core/capture/byte-dump.ts';

/** On the wire (MIDI 1.0, p. 1). */
const MICROS_PER_BYTE = 320;

/**
 * What is heard by one who comes in when a share of the recording is over, whose clock begins then: between two messages.
 * @param isTorn he comes in when the first byte of a message is over
 */
export function joinedAt(chunks: readonly TimedChunk[], share: number, isTorn = false): TimedChunk[] {
  const first = chunks[0]!.micros;
  const at = first + share * (chunks.at(-1)!.micros - first);
  const from = chunks.findIndex(({ micros, bytes }) => micros >= at && (!isTorn || bytes.length > 1));
  return from < 0 ? [] : joinedFrom(chunks, from, isTorn);
}

/** The same, and the first message that is heard, or the rest of it, is this one. */
export function joinedFrom(chunks: readonly TimedChunk[], from: number, isTorn = false): TimedChunk[] {
  const lost = isTorn ? 1 : 0;
  const before = chunks[from - 1]?.micros ?? chunks[from]!.micros - 1e6;
  const began = isTorn ? chunks[from]!.micros + MICROS_PER_BYTE : (before + chunks[from]!.micros) / 2;
  return chunks.slice(from).map(({ micros, bytes }, n) => ({
    micros: Math.max(0, micros - began),
    bytes: n === 0 ? bytes.slice(lost) : bytes,
  }));
}

/** What is heard, and then the song so many times more, one second after it has ended. */
export function repeated(
  heard: readonly TimedChunk[],
  again: readonly (readonly TimedChunk[])[],
): TimedChunk[] {
  const all = [...heard];
  for (const chunks of again) {
    const shift = (all.at(-1)?.micros ?? 0) + 1e6 - chunks[0]!.micros;
    all.push(...chunks.map(({ micros, bytes }) => ({ micros: micros + shift, bytes })));
  }
  return all;
}
