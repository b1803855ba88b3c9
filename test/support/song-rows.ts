import type { Song } from '../../src/core/smf/song.ts';
import { toHex } from './hex.ts';

/** A song's events as lines to compare: track from 1, tick, status and data in hex, then the payload's bytes. */
export function songRows(song: Pick<Song, 'events' | 'payloads' | 'trackStart' | 'bytes'>): string[] {
  const { events, payloads, trackStart, bytes } = song;
  const rows: string[] = [];
  for (let track = 0; track + 1 < trackStart.length; track++) {
    for (let row = trackStart[track]!; row < trackStart[track + 1]!; row++) {
      const head = `${track + 1}: ${events.tick[row]} ${toHex([events.status[row]!, events.data1[row]!, events.data2[row]!])}`;
      const payload = events.payload[row]!;
      if (events.status[row]! < 0xf0) rows.push(head);
      else {
        const start = payloads.start[payload]!;
        rows.push(`${head} | ${toHex(bytes.subarray(start, start + payloads.length[payload]!))}`.trimEnd());
      }
    }
  }
  return rows;
}

/** Compares long lists in a moment, where a test library takes seconds. Undefined when they are the same. */
export function firstDifference(ours: readonly string[], theirs: readonly string[]): string | undefined {
  const row = Array.from({ length: Math.max(ours.length, theirs.length) }).findIndex(
    (_, i) => ours[i] !== theirs[i],
  );
  return row < 0 ? undefined : `row ${row}: ours ${ours[row]}, theirs ${theirs[row]}`;
}
