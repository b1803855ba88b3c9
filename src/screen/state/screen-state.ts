import { STUCK_LIMITS } from '../../core/observe/stuck-notes.ts';
import type { Command } from '../../core/schedule/command.ts';

export const DIALOGS = ['none', 'help', 'stuck', 'lane', 'songs', 'log'] as const;
export type Dialog = (typeof DIALOGS)[number];

/** How the screen was left. */
export type ScreenOutcome =
  | { readonly kind: 'quit' }
  | { readonly kind: 'song'; readonly path: string }
  | { readonly kind: 'ended' };

export interface LogLine {
  readonly atMicros: number;
  readonly where: string;
  readonly text: string;
  /** What this was a step of, where the next step takes its place. */
  readonly deed?: string;
}

/** A command, and when it was sent (run time). */
export interface Asked {
  readonly command: Command;
  readonly atMicros: number;
}

/** Everything the screen itself remembers: what is chosen, open and typed. The music is in `ObservedState`. */
export interface ScreenState {
  /** Chosen lane, 0–15. */
  readonly lane: number;
  readonly dialog: Dialog;
  /** Large letters in place of the lanes. */
  readonly isLarge: boolean;
  /** Digits typed before a key. */
  readonly digits: string;
  /** Row chosen or first row shown in the open dialog. */
  readonly row: number;
  readonly search: string;
  /** The stuck note chosen, as `channel * 128 + key`; undefined for the first one. */
  readonly stuckPlace: number | undefined;
  /** Age from which any note counts as stuck. */
  readonly longMicros: number;
  /** Ends of a loop being set, in song time. */
  readonly loopFromMicros: number | undefined;
  readonly loopToMicros: number | undefined;
  /** What was asked of the music just now, so that quick presses add up before it has followed. */
  readonly asked: readonly Asked[];
  /** The latest word to the person, and when it was said (run time). */
  readonly said: { readonly text: string; readonly atMicros: number } | undefined;
  /** What went wrong beside the music and stays so (see `Player.troubles`): said whenever nothing else is. */
  readonly alarm: string | undefined;
  /** Why the song that was chosen last is not playing: stands in the list of songs. */
  readonly refusal: string | undefined;
  readonly log: readonly LogLine[];
  readonly outcome: ScreenOutcome | undefined;
}

export const FIRST_STATE: ScreenState = {
  lane: 0,
  dialog: 'none',
  isLarge: false,
  digits: '',
  row: 0,
  search: '',
  stuckPlace: undefined,
  longMicros: STUCK_LIMITS.longMicros,
  loopFromMicros: undefined,
  loopToMicros: undefined,
  asked: [],
  said: undefined,
  alarm: undefined,
  refusal: undefined,
  log: [],
  outcome: undefined,
};

/** Lines kept in the log: a day of silencing, and no more memory than that. */
export const LOG_LINES = 500;
