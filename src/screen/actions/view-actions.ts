import { isOnceMore, ONCE_MORE } from '../state/once-more.ts';
import type { Dialog } from '../state/screen-state.ts';
import type { Action, ActionScene } from './action.ts';
import { chosenStuckNote } from './silence-actions.ts';

const PAGE_ROWS = 8;
/** More than any list has. */
const MANY_ROWS = 1_000_000;

export const VIEW_ACTIONS = {
  help: (scene) => toggle(scene, 'help'),
  'stuck-list': (scene) => toggle(scene, 'stuck'),
  'lane-detail': (scene) => toggle(scene, 'lane'),
  'song-list': (scene) => {
    const { state } = toggle(scene, 'songs');
    // The list opens at the song that plays.
    return { state: { ...state, row: Math.max(0, (scene.song.place?.number ?? 1) - 1) } };
  },
  'next-song': (scene) => neighbour(scene, 'after'),
  'last-song': (scene) => neighbour(scene, 'before'),
  log: (scene) => toggle(scene, 'log'),
  large: ({ state }) => ({ state: { isLarge: !state.isLarge, dialog: 'none' } }),
  'keep-settings': () => ({ ask: 'keep-settings' }),
  close: ({ state }) => ({
    state: { dialog: 'none', digits: '', search: '', row: 0, said: state.digits ? undefined : state.said },
  }),
  quit,
  'quit-anywhere': (scene) => (scene.song.keyRole === 'visitor' ? quitTwice(scene) : quit()),
  suspend: () => ({ ask: 'suspend' }),
  repaint: () => ({ ask: 'repaint' }),
  'row-up': (scene) => moveRow(scene, -1),
  'row-down': (scene) => moveRow(scene, 1),
  'page-up': (scene) => moveRow(scene, -PAGE_ROWS),
  'page-down': (scene) => moveRow(scene, PAGE_ROWS),
  'row-first': (scene) => moveRow(scene, -MANY_ROWS),
  'row-last': (scene) => moveRow(scene, MANY_ROWS),
  'stuck-up': (scene) => moveStuck(scene, -1),
  'stuck-down': (scene) => moveStuck(scene, 1),
  'open-song': ({ songs, state }) => {
    const song = songs[Math.min(state.row, songs.length - 1)];
    if (!song) return { say: 'no song matches' };
    return { commands: [{ kind: 'quit' }], state: { outcome: { kind: 'song', path: song.path } } };
  },
  'erase-digit': ({ state }) => ({ state: { digits: state.digits.slice(0, -1) } }),
  'erase-letter': ({ state }) => ({ state: { search: [...state.search].slice(0, -1).join(''), row: 0 } }),
} as const satisfies Record<string, Action>;

function quit(): ReturnType<Action> {
  return { commands: [{ kind: 'quit' }], state: { outcome: { kind: 'quit' } } };
}

function quitTwice({ state: { said }, nowMicros }: ActionScene): ReturnType<Action> {
  return said?.text === ONCE_MORE && isOnceMore(said.atMicros, nowMicros) ? quit() : { say: ONCE_MORE };
}

function toggle(scene: ActionScene, dialog: Dialog): ReturnType<Action> {
  const open = scene.state.dialog !== dialog;
  return { state: { dialog: open ? dialog : 'none', row: 0, search: '' } };
}

/** A text scrolls as far as its painter says; in the list of songs the chosen one moves. */
function moveRow(scene: ActionScene, step: number): ReturnType<Action> {
  if (scene.state.dialog === 'stuck') return moveStuck(scene, step);
  const last = scene.state.dialog === 'songs' ? scene.songs.length - 1 : (scene.scroll?.lastRow ?? MANY_ROWS);
  const row = Math.min(last, scene.state.row);
  return { state: { row: Math.max(0, Math.min(last, row + step)) } };
}

function neighbour({ song: { place } }: ActionScene, side: 'before' | 'after'): ReturnType<Action> {
  const path = place?.[side];
  if (path !== undefined) return { commands: [{ kind: 'quit' }], state: { outcome: { kind: 'song', path } } };
  if (place === undefined || place.of === 1) return { say: 'this is the only song' };
  return { say: `this is the ${side === 'after' ? 'last' : 'first'} of ${place.of} songs` };
}

function moveStuck(scene: ActionScene, step: number): ReturnType<Action> {
  const chosen = chosenStuckNote(scene);
  if (!chosen) return {};
  const at = scene.stuck.indexOf(chosen);
  const next = scene.stuck[Math.max(0, Math.min(scene.stuck.length - 1, at + step))]!;
  return { state: { stuckPlace: next.channel * 128 + next.key, lane: next.channel } };
}
