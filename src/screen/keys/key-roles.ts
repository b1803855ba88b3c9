import type { ActionName } from '../actions/actions.ts';
import type { KeyRole } from '../state/key-role.ts';

/** To look at the large lanes, to read a page that is open, and to leave. */
const READING: readonly ActionName[] = [
  'large',
  'help',
  'close',
  'row-up',
  'row-down',
  'page-up',
  'page-down',
  'row-first',
  'row-last',
  'repaint',
  'quit-anywhere',
];

/** What a visitor may do: nothing that the next one would have to put right. */
const VISITOR: ReadonlySet<ActionName> = new Set([...READING, 'play-pause', 'next-song', 'silence-all']);

/** What changes nothing but this screen. */
const ONLOOKER: ReadonlySet<ActionName> = new Set([
  ...READING,
  'lane-up',
  'lane-down',
  'choose-lane',
  'lane-detail',
  'stuck-list',
  'stuck-limit',
  'stuck-up',
  'stuck-down',
  'log',
  'erase-digit',
  'suspend',
  'quit',
]);

const ALLOWED: Readonly<Record<KeyRole, ReadonlySet<ActionName>>> = { visitor: VISITOR, onlooker: ONLOOKER };

/** Said when a key is pressed that is not for this role. */
export const ROLE_WORDS: Readonly<Record<KeyRole, string>> = {
  visitor: 'at a show: space pauses, N is the next song, z silences',
  onlooker: 'this screen only looks: `wirepit watch --control` may change what plays',
};

export function isAllowed(action: ActionName, role: KeyRole | undefined): boolean {
  return role === undefined || ALLOWED[role].has(action);
}
