import type { ActionName } from '../actions/actions.ts';
import type { Dialog } from '../state/screen-state.ts';

export const KEY_GROUPS = [
  'Transport',
  'Loop',
  'Tempo and pitch',
  'Lanes',
  'Silence',
  'Views',
  'In lists',
] as const;
export type KeyGroup = (typeof KEY_GROUPS)[number];

/**
 * One row for each action: the keys that do it, what they do, and what a number typed before them means.
 * Input, the help overlay and docs/keys.md all read this table.
 */
export interface KeyRow {
  /** Key names as `terminal/key.ts` gives them; the first is the one to show. */
  readonly keys: readonly string[];
  readonly action: ActionName;
  readonly group: KeyGroup;
  readonly help: string;
  /** What a number before the key means; undefined where it means nothing. */
  readonly number?: string;
  /** Dialogs in which the row counts; undefined for all but the song list, whose letters are a search. */
  readonly only?: readonly Dialog[];
}

const SCROLLED = ['help', 'log', 'songs'] as const satisfies readonly Dialog[];
const STUCK = ['stuck'] as const satisfies readonly Dialog[];
const SONGS = ['songs'] as const satisfies readonly Dialog[];
const LANES = ['none', 'lane'] as const satisfies readonly Dialog[];

export const KEY_TABLE: readonly KeyRow[] = [
  { keys: ['space'], action: 'play-pause', group: 'Transport', help: 'play or pause' },
  { keys: ['.'], action: 'stop', group: 'Transport', help: 'stop' },
  { keys: ['left'], action: 'bar-back', group: 'Transport', help: 'a bar back', number: 'bars' },
  { keys: ['right'], action: 'bar-on', group: 'Transport', help: 'a bar on', number: 'bars' },
  { keys: ['['], action: 'bars-back', group: 'Transport', help: 'four bars back', number: 'times' },
  { keys: [']'], action: 'bars-on', group: 'Transport', help: 'four bars on', number: 'times' },
  { keys: ['b', 'home'], action: 'song-start', group: 'Transport', help: 'to the beginning' },
  { keys: ['e', 'end'], action: 'song-end', group: 'Transport', help: 'to the last bar' },
  { keys: ['g'], action: 'go-to-bar', group: 'Transport', help: 'go to bar 1', number: 'bar' },
  {
    keys: ['%'],
    action: 'go-to-percent',
    group: 'Transport',
    help: 'go to a share of the song',
    number: 'percent',
  },
  { keys: ['n'], action: 'next-marker', group: 'Transport', help: 'to the next marker' },
  { keys: ['p'], action: 'last-marker', group: 'Transport', help: 'to the marker before' },
  { keys: ['w'], action: 'worst-spot', group: 'Transport', help: 'to the latest onset on the wire' },

  { keys: ['('], action: 'loop-from', group: 'Loop', help: 'loop from the start of this bar', number: 'bar' },
  { keys: [')'], action: 'loop-to', group: 'Loop', help: 'loop to the end of this bar', number: 'bar' },
  { keys: ['|'], action: 'loop-off', group: 'Loop', help: 'no loop' },

  { keys: ['-'], action: 'slower', group: 'Tempo and pitch', help: 'slower by 5 %', number: 'percent' },
  { keys: ['+', '='], action: 'faster', group: 'Tempo and pitch', help: 'faster by 5 %', number: 'percent' },
  { keys: ['t'], action: 'tempo', group: 'Tempo and pitch', help: 'tempo as written', number: 'percent' },
  {
    keys: ['<'],
    action: 'transpose-down',
    group: 'Tempo and pitch',
    help: 'transpose down',
    number: 'semitones',
  },
  {
    keys: ['>'],
    action: 'transpose-up',
    group: 'Tempo and pitch',
    help: 'transpose up',
    number: 'semitones',
  },
  { keys: ['o'], action: 'original-pitch', group: 'Tempo and pitch', help: 'original pitch' },

  { keys: ['up'], action: 'lane-up', group: 'Lanes', help: 'lane above', number: 'lanes', only: LANES },
  { keys: ['down'], action: 'lane-down', group: 'Lanes', help: 'lane below', number: 'lanes', only: LANES },
  {
    keys: ['c'],
    action: 'choose-lane',
    group: 'Lanes',
    help: 'choose a lane by its channel',
    number: 'channel',
  },
  { keys: ['m'], action: 'mute', group: 'Lanes', help: 'mute or unmute', number: 'channel' },
  { keys: ['s'], action: 'solo', group: 'Lanes', help: 'solo or not', number: 'channel' },
  { keys: ['u'], action: 'all-heard', group: 'Lanes', help: 'no mutes, no solos' },
  { keys: ['v'], action: 'softer', group: 'Lanes', help: 'velocity down by 5', number: 'amount' },
  { keys: ['V'], action: 'louder', group: 'Lanes', help: 'velocity up by 5', number: 'amount' },
  {
    keys: ['k'],
    action: 'lane-down-semitone',
    group: 'Lanes',
    help: 'transpose the lane down',
    number: 'semitones',
  },
  {
    keys: ['K'],
    action: 'lane-up-semitone',
    group: 'Lanes',
    help: 'transpose the lane up',
    number: 'semitones',
  },
  { keys: ['i'], action: 'program-next', group: 'Lanes', help: 'next program', number: 'program' },
  { keys: ['I'], action: 'program-last', group: 'Lanes', help: 'program before', number: 'program' },
  {
    keys: ['f'],
    action: 'lane-as-written',
    group: 'Lanes',
    help: 'velocity, key and program as in the file',
  },

  { keys: ['x'], action: 'silence-note', group: 'Silence', help: 'silence the chosen stuck note' },
  { keys: ['X'], action: 'silence-lane', group: 'Silence', help: 'silence the lane', number: 'channel' },
  { keys: ['z'], action: 'silence-all', group: 'Silence', help: 'silence everything' },
  {
    keys: ['a'],
    action: 'stuck-limit',
    group: 'Silence',
    help: 'age limit of a note: 10 s',
    number: 'seconds',
  },

  { keys: ['h'], action: 'stuck-list', group: 'Views', help: 'hanging (stuck) notes' },
  {
    keys: ['enter', 'd'],
    action: 'lane-detail',
    group: 'Views',
    help: 'the lane in detail',
    only: ['none', 'lane', 'stuck', 'log', 'help'],
  },
  { keys: ['/'], action: 'song-list', group: 'Views', help: 'choose another song' },
  { keys: ['l'], action: 'log', group: 'Views', help: 'log of what was done' },
  { keys: ['?'], action: 'help', group: 'Views', help: 'these keys' },
  { keys: ['q'], action: 'quit', group: 'Views', help: 'quit, silently' },
  {
    keys: ['ctrl-c'],
    action: 'quit',
    group: 'Views',
    help: 'quit from anywhere',
    only: ['none', 'help', 'stuck', 'lane', 'songs', 'log'],
  },

  {
    keys: ['escape'],
    action: 'close',
    group: 'In lists',
    help: 'close; forget a number',
    only: ['none', 'help', 'stuck', 'lane', 'songs', 'log'],
  },
  { keys: ['up'], action: 'stuck-up', group: 'In lists', help: 'stuck note above', only: STUCK },
  { keys: ['down'], action: 'stuck-down', group: 'In lists', help: 'stuck note below', only: STUCK },
  { keys: ['up'], action: 'row-up', group: 'In lists', help: 'a row up', only: SCROLLED },
  { keys: ['down'], action: 'row-down', group: 'In lists', help: 'a row down', only: SCROLLED },
  { keys: ['page-up'], action: 'page-up', group: 'In lists', help: 'a page up', only: SCROLLED },
  { keys: ['page-down'], action: 'page-down', group: 'In lists', help: 'a page down', only: SCROLLED },
  { keys: ['enter'], action: 'open-song', group: 'In lists', help: 'play the chosen song', only: SONGS },
  {
    keys: ['backspace'],
    action: 'erase-letter',
    group: 'In lists',
    help: 'erase a letter of the search',
    only: SONGS,
  },
];

/** The row that a key means while a dialog is open (`none` for the lanes). */
export function rowFor(key: string, dialog: Dialog): KeyRow | undefined {
  return KEY_TABLE.find(
    (row) => row.keys.includes(key) && (row.only ? row.only.includes(dialog) : dialog !== 'songs'),
  );
}
