import type { Finding } from './finding.ts';

/** How ticks become time: a fraction of a quarter note, or of an SMPTE frame (SMF 1.1, section 2.1). */
export type Division =
  | { readonly kind: 'quarter'; readonly ticksPerQuarter: number }
  | { readonly kind: 'smpte'; readonly framesPerSecond: SmpteRate; readonly ticksPerFrame: number };

/** Frames a second as the header's high byte names them; 29 is 30 drop frame and runs at 30000/1001. */
export type SmpteRate = 24 | 25 | 29 | 30;

/**
 * Every event of a song, one row each, track after track in file order.
 *
 *   row      tick  status  data1  data2  payload
 *   channel  abs.  80–EF   0–127  0–127  0, means nothing  (one-byte messages have data2 = 0)
 *   SysEx    abs.  F0/F7   0      0      row of payloads (bytes after the length, without F0 itself)
 *   meta     abs.  FF      type   0      row of payloads
 *
 * Ticks are absolute in their track and saturate at 2³²−1 with a finding.
 */
export interface SongEvents {
  readonly count: number;
  readonly tick: Uint32Array;
  readonly status: Uint8Array;
  readonly data1: Uint8Array;
  readonly data2: Uint8Array;
  readonly payload: Uint32Array;
}

/** Where the bytes of SysEx and meta events lie inside `Song.bytes`. */
export interface Payloads {
  readonly count: number;
  readonly start: Uint32Array;
  readonly length: Uint32Array;
}

/** A Standard MIDI File, read. Nothing in it has been merged, timed or changed. */
export interface Song {
  /** 0, 1 or 2 as the header says; an unknown format is kept as it stands (with a finding). */
  readonly format: number;
  readonly division: Division;
  readonly events: SongEvents;
  readonly payloads: Payloads;
  /** First event row of each track; one more entry than there are tracks. */
  readonly trackStart: Uint32Array;
  /** The file's bytes, which the payloads point into. */
  readonly bytes: Uint8Array;
  readonly findings: readonly Finding[];
}
