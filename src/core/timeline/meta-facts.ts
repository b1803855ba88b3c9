import type { Song } from '../smf/song.ts';
import type { Meter } from './meter-map.ts';
import type { TempoChange } from './tempo-map.ts';
import type { TimelineFindings } from './timeline-finding.ts';

/** What the meta events of a song say, in playing order and not yet timed. */
export interface MetaFacts {
  readonly tempos: TempoChange[];
  readonly meters: Meter[];
  readonly markers: TextAtTick[];
  readonly cues: TextAtTick[];
  readonly lyrics: TextAtTick[];
  readonly keySignatures: { readonly tick: number; readonly sharps: number; readonly minor: boolean }[];
  readonly trackNames: string[];
  /** Undefined where a track asks for no port. */
  readonly trackPorts: (number | undefined)[];
  copyright: string;
}

export interface TextAtTick {
  readonly tick: number;
  readonly track: number;
  readonly text: string;
}

/** One meta event as its reader sees it: `length` bytes from `start` in `song.bytes`. */
export interface Meta {
  readonly song: Song;
  readonly tick: number;
  readonly track: number;
  readonly start: number;
  readonly length: number;
  /** The event belongs to one channel, not to its track (meta 20). */
  readonly underPrefix: boolean;
  readonly findings: TimelineFindings;
}
