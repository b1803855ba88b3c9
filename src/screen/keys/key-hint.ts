import type { ActionName } from '../actions/actions.ts';
import type { Dialog } from '../state/screen-state.ts';
import { type KeyMode, worksIn } from './key-mode.ts';
import { KEY_TABLE } from './key-table.ts';

/**
 * A key in few words, and the action it stands for: without a meaning there, it is left out. `unheard` stands in
 * its place where nothing that is sent from here reaches an instrument.
 */
export type HintPiece = readonly [text: string, action: ActionName, unheard?: string];

/** The keys a newcomer needs first. The word before the first space is the key. */
export const FIRST_KEYS: readonly HintPiece[] = [
  ['? keys', 'help'],
  ['space play', 'play-pause'],
  ['q quit', 'quit'],
  ['z silence', 'silence-all', 'z clear'],
  ['h stuck', 'stuck-list'],
  ['m mute', 'mute'],
  ['s solo', 'solo'],
  ['up, down lane', 'lane-up'],
  ['left, right bar', 'bar-on'],
  ['enter lane', 'lane-detail'],
  ['/ songs', 'song-list'],
  ['w worst spot', 'worst-spot'],
  ['t tempo', 'tempo'],
  ['( ) loop', 'loop-from'],
  ['n p marker', 'next-marker'],
  ['N next song', 'next-song'],
  ['P last song', 'last-song'],
  ['L large', 'large'],
];

/** Where letters are a search: what silences and leaves all the same. */
export const SEARCH_KEYS: readonly HintPiece[] = [
  ['ctrl-x silence', 'silence-all'],
  ['ctrl-c quit', 'quit-anywhere'],
  ['esc back', 'close'],
];

/** The pieces that have a meaning in the mode, by the key table. */
export function hintOf(pieces: readonly HintPiece[], mode: KeyMode): string[] {
  const works = (action: ActionName): boolean =>
    KEY_TABLE.some((row) => row.action === action && worksIn(row, mode));
  return pieces
    .filter(([, action]) => works(action))
    .map(([text, , unheard]) => (mode.output ? text : (unheard ?? text)));
}

/** As many pieces as fit whole, the first of them first. */
export function fittingHint(pieces: readonly string[], width: number): string {
  let text = '';
  for (const piece of pieces) {
    const next = text === '' ? piece : `${text}  ${piece}`;
    if (next.length > width) break;
    text = next;
  }
  return text;
}

/** The bottom line: as many keys as fit whole, of those that mean something in the open dialog. */
export function keyHint(width: number, mode: KeyMode, dialog: Dialog = 'none'): string {
  return ` ${fittingHint(piecesFor(mode, dialog), width - 1)}`;
}

/** Asked in every frame, and the same as long as nothing else is on the screen. */
const KNOWN = new WeakMap<KeyMode, Map<Dialog, readonly string[]>>();

function piecesFor(mode: KeyMode, dialog: Dialog): readonly string[] {
  const known = KNOWN.get(mode) ?? new Map<Dialog, readonly string[]>();
  KNOWN.set(mode, known);
  const found = known.get(dialog);
  if (found !== undefined) return found;
  const rows = dialog === 'songs' ? SEARCH_KEYS : FIRST_KEYS.filter(([, action]) => isOpen(action, dialog));
  const pieces = hintOf(rows, mode);
  known.set(dialog, pieces);
  return pieces;
}

function isOpen(action: ActionName, dialog: Dialog): boolean {
  return KEY_TABLE.some((row) => row.action === action && (row.only ? row.only.includes(dialog) : true));
}
