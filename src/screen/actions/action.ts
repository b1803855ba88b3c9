import type { ObservedState } from '../../core/observe/observed-state.ts';
import type { StuckNote } from '../../core/observe/stuck-notes.ts';
import type { Command } from '../../core/schedule/command.ts';
import type { ScreenState } from '../state/screen-state.ts';
import type { SongChoice, SongView } from '../state/song-view.ts';

/** What an action may look at. It changes nothing itself. */
export interface ActionScene {
  readonly state: ScreenState;
  readonly observed: ObservedState;
  readonly song: SongView;
  readonly stuck: readonly StuckNote[];
  /** The songs to choose from that match the search, in the order shown. */
  readonly songs: readonly SongChoice[];
  /** How far the open text scrolls, where its painter has said so. */
  readonly scroll?: { readonly lastRow: number };
  readonly nowMicros: number;
  /** The number typed before the key. */
  readonly count: number | undefined;
}

/** What an action asks for. */
export interface ActionResult {
  readonly state?: Partial<ScreenState>;
  readonly commands?: readonly Command[];
  /** A word to the person; also written to the log where commands go with it. */
  readonly say?: string;
  /** Something that only whoever opened the screen can do. */
  readonly ask?: TerminalRequest;
}

export type TerminalRequest = 'suspend' | 'repaint' | 'keep-settings';

export type Action = (scene: ActionScene) => ActionResult;
