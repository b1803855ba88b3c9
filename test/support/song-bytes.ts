/**
 * A small builder of Standard MIDI Files for tests, written from the specification (SMF 1.1) and sharing
 * nothing with the code under test.
 */

/** Ticks since the event before, then the event's bytes as they stand in a file. */
export type DeltaEvent = readonly [delta: number, bytes: Iterable<number>];

/** Variable-length quantity (SMF 1.1, section 1.1). */
export function vlq(value: number): number[] {
  const bytes = [value % 128];
  for (let rest = Math.floor(value / 128); rest > 0; rest = Math.floor(rest / 128))
    bytes.unshift(128 + (rest % 128));
  return bytes;
}

export function chunk(type: string, body: Iterable<number>, saidLength?: number): number[] {
  const bytes = [...body];
  return [...Array.from(type, (c) => c.charCodeAt(0)), ...be32(saidLength ?? bytes.length), ...bytes];
}

export function header(format: number, tracks: number, division: number): number[] {
  return chunk('MThd', [...be16(format), ...be16(tracks), ...be16(division)]);
}

export const END_OF_TRACK: DeltaEvent = [0, [0xff, 0x2f, 0x00]];

/** A track chunk of these events as they are: no end-of-track is added. */
export function trackOf(events: readonly DeltaEvent[], saidLength?: number): number[] {
  return chunk(
    'MTrk',
    events.flatMap(([delta, bytes]) => [...vlq(delta), ...bytes]),
    saidLength,
  );
}

/** A whole file of sound tracks; each gets its end-of-track. */
export function songBytes(
  tracks: readonly (readonly DeltaEvent[])[],
  { format = tracks.length === 1 ? 0 : 1, division = 96 } = {},
): Uint8Array {
  const chunks = tracks.flatMap((events) => trackOf([...events, END_OF_TRACK]));
  return Uint8Array.from([...header(format, tracks.length, division), ...chunks]);
}

export function meta(type: number, body: Iterable<number>): number[] {
  const bytes = [...body];
  return [0xff, type, ...vlq(bytes.length), ...bytes];
}

export function tempo(microsPerQuarter: number): number[] {
  return meta(0x51, be32(microsPerQuarter).slice(1));
}

/** The F0 event for a SysEx given as on the wire, F0 and F7 included. */
export function sysEx(wire: Iterable<number>): number[] {
  const bytes = [...wire].slice(1);
  return [0xf0, ...vlq(bytes.length), ...bytes];
}

function be16(value: number): number[] {
  return [(value >> 8) & 0xff, value & 0xff];
}

function be32(value: number): number[] {
  return [...be16(value >>> 16), ...be16(value & 0xffff)];
}
