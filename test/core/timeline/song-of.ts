import type { Division, Song } from '../../../src/core/smf/song.ts';

/** One event for `songOf`: an absolute tick, then the bytes as on the wire; for metas `FF, type, data…`. */
export type EventBytes = readonly [tick: number, ...bytes: number[]];

interface SongParts {
  readonly format?: number;
  readonly division?: Division | number;
  readonly tracks: readonly (readonly EventBytes[])[];
}

/** A song put together without any file: what a reader would hand over. */
export function songOf({ format = 1, division = 96, tracks }: SongParts): Song {
  const events = tracks.flat();
  const bytes: number[] = [];
  const payloads: { start: number; length: number }[] = [];
  const columns = {
    count: events.length,
    tick: new Uint32Array(events.length),
    status: new Uint8Array(events.length),
    data1: new Uint8Array(events.length),
    data2: new Uint8Array(events.length),
    payload: new Uint32Array(events.length),
  };
  for (const [row, [tick, status = 0, ...data]] of events.entries()) {
    columns.tick[row] = tick;
    columns.status[row] = status;
    if (status < 0xf0) {
      columns.data1[row] = data[0] ?? 0;
      columns.data2[row] = data[1] ?? 0;
      continue;
    }
    const payload = status === 0xff ? data.slice(1) : data;
    if (status === 0xff) columns.data1[row] = data[0] ?? 0;
    columns.payload[row] = payloads.length;
    payloads.push({ start: bytes.length, length: payload.length });
    bytes.push(...payload);
  }
  const trackStart = [0];
  for (const track of tracks) trackStart.push(trackStart.at(-1)! + track.length);
  return {
    format,
    division: typeof division === 'number' ? { kind: 'quarter', ticksPerQuarter: division } : division,
    events: columns,
    payloads: {
      count: payloads.length,
      start: Uint32Array.from(payloads, ({ start }) => start),
      length: Uint32Array.from(payloads, ({ length }) => length),
    },
    trackStart: Uint32Array.from(trackStart),
    bytes: Uint8Array.from(bytes),
    findings: [],
  };
}

export const on = (tick: number, channel: number, key: number, velocity = 64): EventBytes => [
  tick,
  0x90 | channel,
  key,
  velocity,
];
export const off = (tick: number, channel: number, key: number): EventBytes => [
  tick,
  0x80 | channel,
  key,
  64,
];
export const tempo = (tick: number, micros: number): EventBytes => [
  tick,
  0xff,
  0x51,
  (micros >> 16) & 0xff,
  (micros >> 8) & 0xff,
  micros & 0xff,
];
export const meter = (tick: number, numerator: number, power: number): EventBytes => [
  tick,
  0xff,
  0x58,
  numerator,
  power,
  24,
  8,
];
export const text = (tick: number, type: number, words: string): EventBytes => [
  tick,
  0xff,
  type,
  ...new TextEncoder().encode(words),
];
export const end = (tick: number): EventBytes => [tick, 0xff, 0x2f];
