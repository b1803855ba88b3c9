import type { Song } from '../smf/song.ts';

const META = 0xff;

/**
 * A song of more than sixteen channels cut down to the tracks that ask for one port (meta 21; not in SMF 1.1, common
 * practice): what the others send is left out, their texts, tempos and meters stay. Song → song; the one given is
 * not changed, and bytes and payloads are shared with it. The port of a track is the first it names, 0 where it names
 * none.
 * @param trackPorts port of each track (`Timeline.trackPorts`)
 * @returns undefined where no track of that port sends anything
 */
export function songOfPort(song: Song, trackPorts: readonly number[], port: number): Song | undefined {
  const { status, count } = song.events;
  const tracks = song.trackStart.length - 1;
  const row = new Uint32Array(count);
  const trackStart = new Uint32Array(tracks + 1);
  let kept = 0;
  let sent = 0;
  for (let track = 0; track < tracks; track += 1) {
    trackStart[track] = kept;
    for (let at = song.trackStart[track]!; at < song.trackStart[track + 1]!; at += 1) {
      const isSent = status[at] !== META;
      if (isSent && trackPorts[track] !== port) continue;
      row[kept] = at;
      kept += 1;
      if (isSent) sent += 1;
    }
  }
  trackStart[tracks] = kept;
  if (sent === 0) return undefined;
  const rows = row.subarray(0, kept);
  const { tick, data1, data2, payload } = song.events;
  return {
    ...song,
    trackStart,
    events: {
      count: kept,
      tick: rows.map((from) => tick[from]!),
      status: Uint8Array.from(rows, (from) => status[from]!),
      data1: Uint8Array.from(rows, (from) => data1[from]!),
      data2: Uint8Array.from(rows, (from) => data2[from]!),
      payload: rows.map((from) => payload[from]!),
    },
  };
}

/** The ports whose tracks send something, in order. */
export function portsThatSend(song: Song, trackPorts: readonly number[]): number[] {
  const ports = new Set<number>();
  for (let track = 0; track + 1 < song.trackStart.length; track += 1) {
    const [from, to] = [song.trackStart[track]!, song.trackStart[track + 1]!];
    if (song.events.status.subarray(from, to).some((status) => status !== META))
      ports.add(trackPorts[track]!);
  }
  return [...ports].sort((a, b) => a - b);
}
