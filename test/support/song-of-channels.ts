import type { DeltaEvent } from './song-bytes.ts';

/** The events of some channels alone, at their moments; system messages stay. @param channels 0–15 */
export function songOfChannels(events: readonly DeltaEvent[], channels: readonly number[]): DeltaEvent[] {
  const kept: DeltaEvent[] = [];
  let waited = 0;
  for (const [delta, bytes] of events) {
    waited += delta;
    const [status = 0] = bytes;
    if (status < 0xf0 && !channels.includes(status & 15)) continue;
    kept.push([waited, bytes]);
    waited = 0;
  }
  return kept;
}
