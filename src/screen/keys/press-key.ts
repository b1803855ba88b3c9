import type { Command } from '../../core/schedule/command.ts';
import type { ActionResult, ActionScene, TerminalRequest } from '../actions/action.ts';
import { actionNamed } from '../actions/actions.ts';
import type { Pointed } from '../pointer/pointed.ts';
import type { ScreenState } from '../state/screen-state.ts';
import { unanswered, withAsked } from './asked.ts';
import { keyModeOf, whyNot } from './key-mode.ts';
import { KEY_TABLE, type KeyRow, rowFor } from './key-table.ts';
import { loggedDone } from './logged-done.ts';

const MOST_DIGITS = 4;
const MOST_SEARCH = 40;

export interface KeyEffect {
  readonly state: ScreenState;
  readonly commands: readonly Command[];
  readonly ask?: TerminalRequest;
}

/** What one key does: the next state of the screen and the commands for the music. Pure. */
export function pressKey(key: string, scene: Omit<ActionScene, 'count'>): KeyEffect {
  const { state } = scene;
  const row = rowFor(key, state.dialog);
  if (!row) return { state: typed(key, state), commands: [] };
  return pressRow(row, state.digits === '' ? undefined : Number(state.digits), scene);
}

/** The same for something pointed at: the row of its action, as if its number and its key had been pressed. */
export function pressPointed({ action, count }: Pointed, scene: Omit<ActionScene, 'count'>): KeyEffect {
  const row = KEY_TABLE.find((each) => each.action === action);
  return row ? pressRow(row, count, scene) : { state: scene.state, commands: [] };
}

function pressRow(row: KeyRow, count: number | undefined, scene: Omit<ActionScene, 'count'>): KeyEffect {
  const why = whyNot(row, keyModeOf(scene.song));
  if (why !== undefined) return { state: applied({ say: why }, scene), commands: [] };
  const { state, nowMicros } = scene;
  const waiting = unanswered(state.asked, nowMicros);
  const observed = withAsked(scene.observed, waiting, nowMicros);
  const result = actionNamed(row.action)({ ...scene, observed, count });
  const commands = result.commands ?? [];
  const asked = [...waiting, ...commands.map((command) => ({ command, atMicros: nowMicros }))];
  const effect = { state: { ...applied(result, scene), asked }, commands };
  return result.ask ? { ...effect, ask: result.ask } : effect;
}

/** A key without an action is a digit of a number, a letter of a search, or nothing. */
function typed(key: string, state: ScreenState): ScreenState {
  if (state.dialog === 'songs') {
    const letter = key === 'space' ? ' ' : key;
    if ([...letter].length !== 1 || state.search.length >= MOST_SEARCH) return state;
    return { ...state, search: state.search + letter, row: 0 };
  }
  if (/^\d$/.test(key)) return { ...state, digits: (state.digits + key).slice(-MOST_DIGITS) };
  return state.digits === '' ? state : { ...state, digits: '' };
}

function applied(result: ActionResult, scene: Omit<ActionScene, 'count'>): ScreenState {
  const { state, nowMicros } = scene;
  const said = result.say === undefined ? state.said : { text: result.say, atMicros: nowMicros };
  const { log } =
    result.say && result.commands?.[0] ? loggedDone(result.say, result.commands[0], scene) : state;
  return { ...state, digits: '', said, log, ...result.state };
}
