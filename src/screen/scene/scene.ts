import type { LiveView } from '../../core/compare/live-view.ts';
import type { ListenState } from '../../core/observe/listen-state.ts';
import type { ObservedState } from '../../core/observe/observed-state.ts';
import type { StuckNote } from '../../core/observe/stuck-notes.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import type { ScreenState } from '../state/screen-state.ts';
import type { SongChoice, SongView } from '../state/song-view.ts';
import type { Theme } from '../theme/theme.ts';
import type { LyricLine } from './lyric-lines.ts';
import type { VoiceCount } from './voices-in-use.ts';
import type { WireFigures } from './wire-load.ts';

/** A song that an input is held against; `view` grows. */
export interface SeenAgainst {
  readonly timeline: Timeline;
  readonly view: LiveView | undefined;
}

/** Everything that one frame is painted from. */
export interface Scene {
  readonly observed: ObservedState;
  readonly song: SongView;
  /** What is known of an input that is listened to; undefined when a song plays. */
  readonly listen: ListenState | undefined;
  /** The song that what is listened to is held against, and how it stands. */
  readonly against: SeenAgainst | undefined;
  readonly state: ScreenState;
  readonly theme: Theme;
  /** Run time of the frame. */
  readonly nowMicros: number;
  readonly wire: WireFigures;
  readonly stuck: readonly StuckNote[];
  /** The songs that match the search, in the order shown. */
  readonly songs: readonly SongChoice[];
  /** The painter of the open text writes down the last row that it scrolls to. */
  readonly scroll: { lastRow: number };
  readonly lyricLines: readonly LyricLine[];
  /** [16] run time at which a lane was last seen to hold a note back; −1 for never. */
  readonly heldBackAtMicros: Float64Array;
  /** Undefined where nobody said what is connected. */
  readonly voices: VoiceCount | undefined;
}
