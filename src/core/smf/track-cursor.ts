import type { FindingList } from './finding-list.ts';
import type { SongColumns } from './song-columns.ts';
import type { SongFindingCode } from './song-findings.ts';

/** Largest number a variable-length quantity may hold (SMF 1.1, section 1.1). */
export const LARGEST_LENGTH = 0x0fff_ffff;

export const CUT_SHORT = -1;

/** Offsets of a track's events. */
export interface CursorExtent {
  readonly start: number;
  /** End by the length the chunk gives; it may lie outside the file. */
  readonly saidEnd: number;
  /** No byte at or after this offset belongs to the track. */
  readonly limit: number;
}

/** Where the reader stands in a track, and what it knows there. */
export class TrackCursor {
  readonly bytes: Uint8Array;
  readonly columns: SongColumns;
  readonly findings: FindingList<SongFindingCode>;
  /** As people count: from 1. */
  readonly track: number;
  pos: number;
  readonly limit: number;
  /** End by the length the chunk gives: no event is read across it unseen. */
  readonly saidEnd: number;
  tick = 0;
  /** Last channel status, 0 before the first. */
  running = 0;
  /** A SysEx or meta event came since: the standard no longer allows running status. */
  runningCancelled = false;
  /** The latest event was an end-of-track. */
  ended = false;

  constructor(
    bytes: Uint8Array,
    columns: SongColumns,
    findings: FindingList<SongFindingCode>,
    extent: CursorExtent,
  ) {
    this.bytes = bytes;
    this.columns = columns;
    this.findings = findings;
    this.track = columns.trackCount;
    this.pos = extent.start;
    this.limit = extent.limit;
    this.saidEnd = extent.saidEnd;
  }

  /**
   * Reads a variable-length quantity of any length; one that does not fit in 32 bits comes out as 2³²−1.
   * @returns CUT_SHORT when the track ends in it
   */
  readLength(): number {
    const start = this.pos;
    let value = 0;
    while (this.pos < this.limit) {
      const byte = this.bytes[this.pos++]!;
      value = Math.min(value * 128 + (byte & 0x7f), 0xffff_ffff);
      if (byte < 0x80) {
        const count = this.pos - start;
        if (count > 4) this.findings.add('length-over-long', start, { count });
        return value;
      }
    }
    return CUT_SHORT;
  }

  /**
   * True for an event that ends outside the track though not outside what the chunk says: the file was cut in
   * the middle of it, and its length is right.
   */
  isFileCutIn(eventEnd: number): boolean {
    const isFileEnd = this.limit === this.bytes.length;
    return isFileEnd && eventEnd > this.limit && eventEnd <= this.saidEnd && this.saidEnd < LARGEST_LENGTH;
  }

  advance(delta: number, at: number): void {
    if (delta > LARGEST_LENGTH) {
      // Taken at its word it would put the rest of the track out of reach.
      this.findings.add('delta-absurd', at);
      return;
    }
    this.tick += delta;
    if (this.tick > 0xffff_ffff) {
      this.tick = 0xffff_ffff;
      this.findings.add('tick-limit', at, { track: this.track });
    }
  }
}
