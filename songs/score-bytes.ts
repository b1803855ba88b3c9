import { writeSong } from '../src/core/smf/write-song.ts';
import { TICKS_PER_QUARTER } from './notation.ts';
import type { Score } from './score.ts';
import type { ScoreEvent } from './score-event.ts';

export interface FileChoice {
  /** 0 puts everything in one track. */
  readonly format?: 0 | 1;
  /** Releases as note-ons with velocity 0: with running status a byte less each. */
  readonly shortReleases?: boolean;
}

/** A score as a Standard MIDI File. */
export function scoreBytes(score: Score, { format = 1, shortReleases = false }: FileChoice = {}): Uint8Array {
  const tracks = [score.conductor, ...score.parts.map(({ events }) => events)].map(inOrder);
  const chosen = format === 0 ? [inOrder(tracks.flat())] : tracks;
  const released = chosen.map((track) => track.map((event) => (shortReleases ? shortRelease(event) : event)));
  return writeSong({
    format,
    division: { kind: 'quarter', ticksPerQuarter: TICKS_PER_QUARTER },
    ...columnsOf(released),
  });
}

function inOrder(events: readonly ScoreEvent[]): ScoreEvent[] {
  return events.toSorted((a, b) => a.tick - b.tick || a.rank - b.rank);
}

function shortRelease(event: ScoreEvent): ScoreEvent {
  const [status = 0, key = 0] = event.bytes;
  return (status & 0xf0) === 0x80 ? { ...event, bytes: [status | 0x10, key, 0] } : event;
}

function columnsOf(tracks: readonly (readonly ScoreEvent[])[]) {
  const all = tracks.flat();
  const events = {
    count: all.length,
    tick: Uint32Array.from(all, ({ tick }) => tick),
    status: Uint8Array.from(all, ({ bytes }) => bytes[0]!),
    data1: Uint8Array.from(all, ({ bytes }) => (bytes[0] === 0xf0 ? 0 : (bytes[1] ?? 0))),
    data2: Uint8Array.from(all, ({ bytes }) => (bytes[0]! < 0xf0 ? (bytes[2] ?? 0) : 0)),
    payload: new Uint32Array(all.length),
  };
  const bytes: number[] = [];
  const start: number[] = [];
  const length: number[] = [];
  for (const [row, event] of all.entries()) {
    if (event.bytes[0]! < 0xf0) continue;
    const payload = event.bytes.slice(event.bytes[0] === 0xff ? 2 : 1);
    events.payload[row] = start.length;
    start.push(bytes.length);
    length.push(payload.length);
    bytes.push(...payload);
  }
  const trackStart = [0];
  for (const track of tracks) trackStart.push(trackStart.at(-1)! + track.length);
  return {
    events,
    payloads: { count: start.length, start: Uint32Array.from(start), length: Uint32Array.from(length) },
    trackStart: Uint32Array.from(trackStart),
    bytes: Uint8Array.from(bytes),
  };
}
