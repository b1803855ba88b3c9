import type { SongWishes } from '../../core/arrange/fit/song-wishes.ts';
import type { Orchestra } from '../../core/instrument/orchestra.ts';
import type { SongNotes } from '../../core/observe/song-notes.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import type { KeyRole } from './key-role.ts';

/** What the screen knows of the song beforehand. It never changes while the screen is open. */
export interface SongView {
  /** The song's title, '' where it has none: then the file's name stands for it. Raw; the screen cleans both. */
  readonly title: string;
  readonly fileName: string;
  /** How the port names itself on the command line. */
  readonly portName: string;
  /** Each output by its short name and as it is named on the command line, where there are several. */
  readonly ports?: readonly { readonly name: string; readonly port: string }[];
  /** Undefined when listening: there is no song then. */
  readonly timeline: Timeline | undefined;
  readonly notes: SongNotes | undefined;
  readonly durationMicros: number;
  /** What the plan puts on the wire while the channels with these bits are heard; empty where nothing was planned. */
  readonly load: (audibleChannels: number) => LoadCurve;
  /** What the plan foresees while the channels with these bits are heard; undefined where nothing was planned. */
  readonly plannedWorst: ((audibleChannels: number) => PlannedOnset | undefined) | undefined;
  readonly findingsCount: number;
  /** Which of the songs named on the command line this is, from 1, and the paths beside it; undefined for none. */
  readonly place?: SongPlace;
  /** Its turn in a set that is played. */
  readonly turn?: SongTurnView;
  /** Somebody plays along: their input as it is named on the command line, and their channel (0–15, or their own). */
  readonly playAlong?: { readonly from: string; readonly channel: number | 'as-played' };
  /** What is behind each channel. */
  readonly orchestra: Orchestra;
  /** Somebody said what is connected: its voices are shown. */
  readonly knowsInstrument?: boolean;
  /** Channels (0–15) on which fitting left nothing, and why in a few words. */
  readonly emptied?: ReadonlyMap<number, string>;
  /** Of a song that was fitted, what it wished for before. */
  readonly wishes?: SongWishes;
  /** An input is listened to and passed on to no port: nothing that is silenced here reaches an instrument. */
  readonly isOnlyHeard?: boolean;
  /** It plays in another process, a show: whoever leaves this screen ends nothing. */
  readonly isWatched?: true;
  /** The input whose clock is followed, as it was named; undefined where none is. */
  readonly follows?: string;
  /** Who sits at the keys, where they are not for everything. */
  readonly keyRole?: KeyRole;
}

/** Share of the wire that a plan fills in each window of song time, from 0 on: 1 is all that it can carry. */
export interface LoadCurve {
  readonly shares: Float32Array;
  readonly windowMicros: number;
}

export const NO_LOAD: LoadCurve = { shares: new Float32Array(0), windowMicros: 100_000 };

export interface SongTurnView {
  /** Which set, and the how-manieth of how many songs. */
  readonly words: string;
  /** What the next song is called; undefined for none. */
  readonly next: string | undefined;
}

export interface SongPlace {
  readonly number: number;
  readonly of: number;
  readonly before: string | undefined;
  readonly after: string | undefined;
}

/** The latest onset that a plan foresees, and where. */
export interface PlannedOnset {
  readonly songMicros: number;
  readonly latenessMicros: number;
}

/** A song that can be opened from the list. */
export interface SongChoice {
  readonly path: string;
  /** As shown in the list: a file name or a path below the folder that was asked for. */
  readonly name: string;
  /** The title inside the song, raw; '' while it is not known, or for none. */
  readonly title: string;
  /** Undefined while it is not known yet. */
  readonly durationMicros: number | undefined;
  /** The check's verdict in few words: `fits`, `12 ms late`, … */
  readonly verdict: string;
  readonly good: boolean | undefined;
}
