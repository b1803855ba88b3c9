import type { ActionName } from '../actions/actions.ts';
import { DIALOGS, type Dialog } from '../state/screen-state.ts';
import type { KeyNeed } from './key-mode.ts';

export const KEY_GROUPS = [
  'Silence',
  'Transport',
  'Lanes',
  'Views',
  'Tempo and pitch',
  'Loop',
  'In lists',
] as const;
export type KeyGroup = (typeof KEY_GROUPS)[number];

/**
 * One row for each action: the keys that do it, and what they do; N in `help` is a number typed before the key.
 * Input, the help overlay and docs/keys.md all read this table.
 */
export interface KeyRow {
  /** Key names as `terminal/key.ts` gives them; the first is the one to show. */
  readonly keys: readonly string[];
  readonly action: ActionName;
  readonly group: KeyGroup;
  readonly help: string;
  /** A number typed before the key counts; `help` says for what. */
  readonly number?: true;
  /** What there must be for the key to mean anything; without it the help leaves the row out. */
  readonly needs?: KeyNeed;
  /** Instead of `help` where nothing that is sent from here reaches an instrument. */
  readonly helpUnheard?: string;
  /** Instead of `help` where a show is only watched. */
  readonly helpWatched?: string;
  /** Dialogs in which the row counts; undefined for all but the song list, whose letters are a search. */
  readonly only?: readonly Dialog[];
}

const SCROLLED = ['help', 'log', 'songs'] as const satisfies readonly Dialog[];
const LISTS = [...SCROLLED, 'stuck'] as const satisfies readonly Dialog[];
const STUCK = ['stuck'] as const satisfies readonly Dialog[];
const SONGS = ['songs'] as const satisfies readonly Dialog[];
const NO_SEARCH = ['none', 'help', 'stuck', 'lane', 'log'] as const satisfies readonly Dialog[];
const LANES = ['none', 'lane'] as const satisfies readonly Dialog[];

const SONG = { needs: 'song' } as const;
const SONG_N = { ...SONG, number: true } as const;
const TIME = { needs: 'time' } as const;
const TIME_N = { ...TIME, number: true } as const;
const OUTPUT = { needs: 'output' } as const;
const OUTPUT_N = { ...OUTPUT, number: true } as const;

export const KEY_TABLE: readonly KeyRow[] = [
  {
    keys: ['x'],
    action: 'silence-note',
    group: 'Silence',
    help: 'silence the stuck note',
    helpUnheard: 'stuck note off the list',
  },
  {
    keys: ['X'],
    action: 'silence-lane',
    group: 'Silence',
    help: 'silence the lane, or lane N',
    helpUnheard: 'lane off the list, or lane N',
    number: true,
  },
  {
    keys: ['z'],
    action: 'silence-all',
    group: 'Silence',
    help: 'silence everything',
    helpUnheard: 'everything off the list',
  },
  {
    keys: ['ctrl-x'],
    action: 'silence-all',
    group: 'Silence',
    help: 'as z, in every view',
    only: DIALOGS,
  },
  { keys: ['h'], action: 'stuck-list', group: 'Silence', help: 'list the stuck notes' },
  { keys: ['a'], action: 'stuck-limit', group: 'Silence', help: 'stuck after 10 s, or N', number: true },

  { keys: ['space'], action: 'play-pause', group: 'Transport', help: 'play or pause', ...SONG },
  { keys: ['.'], action: 'stop', group: 'Transport', help: 'stop', ...TIME },
  { keys: ['left'], action: 'bar-back', group: 'Transport', help: 'a bar back, or N', ...TIME_N },
  { keys: ['right'], action: 'bar-on', group: 'Transport', help: 'a bar on, or N', ...TIME_N },
  { keys: ['['], action: 'bars-back', group: 'Transport', help: 'four bars back, or N times', ...TIME_N },
  { keys: [']'], action: 'bars-on', group: 'Transport', help: 'four bars on, or N times', ...TIME_N },
  { keys: ['b'], action: 'song-start', group: 'Transport', help: 'to the beginning', ...TIME },
  { keys: ['e'], action: 'song-end', group: 'Transport', help: 'to the last bar', ...TIME },
  { keys: ['home'], action: 'song-start', group: 'Transport', help: 'as b', only: LANES, ...TIME },
  { keys: ['end'], action: 'song-end', group: 'Transport', help: 'as e', only: LANES, ...TIME },
  { keys: ['g'], action: 'go-to-bar', group: 'Transport', help: 'to bar 1, or N', ...TIME_N },
  { keys: ['%'], action: 'go-to-percent', group: 'Transport', help: 'to N % of the song', ...TIME_N },
  { keys: ['n'], action: 'next-marker', group: 'Transport', help: 'to the next marker', ...TIME },
  { keys: ['p'], action: 'last-marker', group: 'Transport', help: 'to the marker before', ...TIME },
  { keys: ['w'], action: 'worst-spot', group: 'Transport', help: 'to the worst onset', ...TIME },

  { keys: ['up'], action: 'lane-up', group: 'Lanes', help: 'lane above', number: true, only: LANES },
  { keys: ['down'], action: 'lane-down', group: 'Lanes', help: 'lane below', number: true, only: LANES },
  { keys: ['c'], action: 'choose-lane', group: 'Lanes', help: 'to the lane of channel N', number: true },
  { keys: ['m'], action: 'mute', group: 'Lanes', help: 'mute or not, or channel N', ...OUTPUT_N },
  { keys: ['s'], action: 'solo', group: 'Lanes', help: 'solo or not, or channel N', ...OUTPUT_N },
  { keys: ['u'], action: 'all-heard', group: 'Lanes', help: 'no mutes, no solos', ...OUTPUT },
  { keys: ['v'], action: 'softer', group: 'Lanes', help: 'velocity down by 5, or N', ...SONG_N },
  { keys: ['V'], action: 'louder', group: 'Lanes', help: 'velocity up by 5, or N', ...SONG_N },
  { keys: ['k'], action: 'lane-down-semitone', group: 'Lanes', help: 'a semitone down, or N', ...SONG_N },
  { keys: ['K'], action: 'lane-up-semitone', group: 'Lanes', help: 'a semitone up, or N', ...SONG_N },
  { keys: ['i'], action: 'program-next', group: 'Lanes', help: 'next program, or program N', ...SONG_N },
  { keys: ['I'], action: 'program-last', group: 'Lanes', help: 'program before, or program N', ...SONG_N },
  { keys: ['f'], action: 'lane-as-written', group: 'Lanes', help: 'all of these as in the file', ...SONG },

  {
    keys: ['enter', 'd'],
    action: 'lane-detail',
    group: 'Views',
    help: 'the lane in detail',
    only: NO_SEARCH,
  },
  { keys: ['/'], action: 'song-list', group: 'Views', help: 'choose another song', needs: 'list' },
  { keys: ['N'], action: 'next-song', group: 'Views', help: 'the song after this one', ...SONG },
  { keys: ['P'], action: 'last-song', group: 'Views', help: 'the song before this one', ...SONG },
  { keys: ['l'], action: 'log', group: 'Views', help: 'log of what was done' },
  { keys: ['L'], action: 'large', group: 'Views', help: 'large letters, for afar', ...SONG },
  {
    keys: ['W'],
    action: 'keep-settings',
    group: 'Views',
    help: 'keep settings for this song',
    needs: 'set',
  },
  { keys: ['?'], action: 'help', group: 'Views', help: 'these keys' },
  { keys: ['escape'], action: 'close', group: 'Views', help: 'close; forget a number', only: DIALOGS },
  {
    keys: ['backspace'],
    action: 'erase-digit',
    group: 'Views',
    help: 'erase a digit of a number',
    only: NO_SEARCH,
  },
  {
    keys: ['q'],
    action: 'quit',
    group: 'Views',
    help: 'quit, with silence',
    helpUnheard: 'quit',
    helpWatched: 'leave; the show goes on',
  },
  { keys: ['ctrl-c'], action: 'quit-anywhere', group: 'Views', help: 'quit from anywhere', only: DIALOGS },

  { keys: ['ctrl-z'], action: 'suspend', group: 'Views', help: 'to the shell; fg comes back', only: DIALOGS },
  { keys: ['ctrl-l'], action: 'repaint', group: 'Views', help: 'draw the screen anew', only: DIALOGS },

  { keys: ['-'], action: 'slower', group: 'Tempo and pitch', help: 'slower by 5 %, or N', ...TIME_N },
  { keys: ['+', '='], action: 'faster', group: 'Tempo and pitch', help: 'faster by 5 %, or N', ...TIME_N },
  { keys: ['t'], action: 'tempo', group: 'Tempo and pitch', help: 'tempo as written, or N %', ...TIME_N },
  {
    keys: ['<'],
    action: 'transpose-down',
    group: 'Tempo and pitch',
    help: 'a semitone down, or N',
    ...SONG_N,
  },
  { keys: ['>'], action: 'transpose-up', group: 'Tempo and pitch', help: 'a semitone up, or N', ...SONG_N },
  { keys: ['o'], action: 'original-pitch', group: 'Tempo and pitch', help: 'original pitch', ...SONG },

  { keys: ['('], action: 'loop-from', group: 'Loop', help: 'from this bar, or N', ...TIME_N },
  { keys: [')'], action: 'loop-to', group: 'Loop', help: 'to the end of this bar, or N', ...TIME_N },
  { keys: ['|'], action: 'loop-off', group: 'Loop', help: 'no loop', ...TIME },

  { keys: ['up'], action: 'stuck-up', group: 'In lists', help: 'stuck note above', only: STUCK },
  { keys: ['down'], action: 'stuck-down', group: 'In lists', help: 'stuck note below', only: STUCK },
  { keys: ['up'], action: 'row-up', group: 'In lists', help: 'a row up', only: SCROLLED },
  { keys: ['down'], action: 'row-down', group: 'In lists', help: 'a row down', only: SCROLLED },
  { keys: ['page-up'], action: 'page-up', group: 'In lists', help: 'eight rows up', only: SCROLLED },
  { keys: ['page-down'], action: 'page-down', group: 'In lists', help: 'eight rows down', only: SCROLLED },
  { keys: ['home'], action: 'row-first', group: 'In lists', help: 'to the top', only: LISTS },
  { keys: ['end'], action: 'row-last', group: 'In lists', help: 'to the bottom', only: LISTS },
  {
    keys: ['enter'],
    action: 'open-song',
    group: 'In lists',
    help: 'play the chosen song',
    only: SONGS,
    ...SONG,
  },
  {
    keys: ['backspace'],
    action: 'erase-letter',
    group: 'In lists',
    help: 'erase a letter of the search',
    only: SONGS,
    ...SONG,
  },
];

/** The row that a key means while a dialog is open (`none` for the lanes). */
export function rowFor(key: string, dialog: Dialog): KeyRow | undefined {
  return KEY_TABLE.find(
    (row) => row.keys.includes(key) && (row.only ? row.only.includes(dialog) : dialog !== 'songs'),
  );
}
