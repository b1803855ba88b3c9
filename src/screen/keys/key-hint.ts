import type { ActionName } from '../actions/actions.ts';
import { type KeyMode, worksIn } from './key-mode.ts';
import { KEY_TABLE } from './key-table.ts';

/** A key in few words, and the action it stands for: without a meaning there, it is left out. */
export type HintPiece = readonly [text: string, action: ActionName];

/** The keys a newcomer needs first. */
const FIRST_KEYS: readonly HintPiece[] = [
  ['? keys', 'help'],
  ['space play', 'play-pause'],
  ['q quit', 'quit'],
  ['z silence', 'silence-all'],
  ['h stuck', 'stuck-list'],
  ['m mute', 'mute'],
  ['s solo', 'solo'],
  ['arrows lane, bar', 'bar-on'],
  ['enter lane', 'lane-detail'],
  ['/ songs', 'song-list'],
  ['w worst spot', 'worst-spot'],
  ['t tempo', 'tempo'],
  ['( ) loop', 'loop-from'],
  ['n p marker', 'next-marker'],
];

/** The pieces that have a meaning in the mode, by the key table. */
export function hintOf(pieces: readonly HintPiece[], mode: KeyMode): string[] {
  const works = (action: ActionName): boolean =>
    KEY_TABLE.some((row) => row.action === action && worksIn(row, mode));
  return pieces.filter(([, action]) => works(action)).map(([text]) => text);
}

/** The bottom line: as many keys as fit whole. */
export function keyHint(width: number, mode: KeyMode): string {
  let text = '';
  for (const piece of hintOf(FIRST_KEYS, mode)) {
    const next = text === '' ? ` ${piece}` : `${text}  ${piece}`;
    if (next.length > width) break;
    text = next;
  }
  return text;
}
