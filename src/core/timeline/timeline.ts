import type { Finding } from '../smf/finding.ts';
import type { MeterMap } from './meter-map.ts';
import type { TempoMap } from './tempo-map.ts';

/**
 * Everything a song sends, merged, timed and paired: one row for each message, in playing order (time, then
 * track order, then file order). The columns lie in SharedArrayBuffers so that the sending thread reads them
 * without a copy.
 *
 *   micros   f64  song time, whole microseconds, never decreasing
 *   tick     u32  absolute tick
 *   status   u8   80–EF channel message; F0 a SysEx to send as F0 + payload; F7 payload bytes as they are
 *   data1    u8   first data byte, or 0
 *   data2    u8   second data byte, or 0
 *   payload  u32  row of `payloads` for F0/F7; else 0, which means nothing
 *   track    u16  track the message came from (saturates at 65,535)
 *   partner  u32  for a note-on its note-off's row, for a note-off its note-on's; else NO_PARTNER
 *
 * A note-on with velocity 0 is stored as it stands in the file (9n, velocity 0); `isNoteOff` knows both.
 */
export interface TimelineColumns {
  readonly count: number;
  readonly micros: Float64Array;
  readonly tick: Uint32Array;
  readonly status: Uint8Array;
  readonly data1: Uint8Array;
  readonly data2: Uint8Array;
  readonly payload: Uint32Array;
  readonly track: Uint16Array;
  readonly partner: Uint32Array;
  /** SysEx and escape bytes, one after another; shared with the sending thread. */
  readonly payloadBytes: Uint8Array;
  readonly payloadStart: Uint32Array;
  readonly payloadLength: Uint32Array;
  /** What each payload is, as part of its whole message: one of `PayloadKind`. */
  readonly payloadKind: Uint8Array;
}

export const NO_PARTNER = 0xffff_ffff;

/** A text at a moment: marker, cue point, lyric. The text is raw; `screen/` and `cli/` clean it. */
export interface TimedText {
  readonly micros: number;
  readonly tick: number;
  readonly track: number;
  readonly text: string;
}

export interface KeySignature {
  readonly micros: number;
  readonly tick: number;
  /** −7 (seven flats) to 7 (seven sharps). */
  readonly sharps: number;
  readonly minor: boolean;
}

export interface Timeline {
  readonly columns: TimelineColumns;
  /** Song time of the last event of any kind, end-of-track included, in microseconds. */
  readonly durationMicros: number;
  readonly endTick: number;
  /** With SMPTE division ticks of half a second, which may end in .5 (ticks-per-quarter.ts). */
  readonly ticksPerQuarter: number;
  readonly tempoMap: TempoMap;
  readonly meterMap: MeterMap;
  readonly markers: readonly TimedText[];
  readonly cues: readonly TimedText[];
  readonly lyrics: readonly TimedText[];
  readonly keySignatures: readonly KeySignature[];
  /** Name of each track, '' where it has none. */
  readonly trackNames: readonly string[];
  /** Port number (meta 21) each track asks for, 0 where it asks for none. */
  readonly trackPorts: readonly number[];
  /** The sequence's own name: the first track's name (SMF 1.1, 3.1), or ''. */
  readonly title: string;
  readonly copyright: string;
  /** What was found while timing and pairing: notes without end, tempo 0, pedals left down… */
  readonly findings: readonly Finding[];
}
